"""What pages and calendars show of the book of loans."""

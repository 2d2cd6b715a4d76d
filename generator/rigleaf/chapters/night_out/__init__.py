"""A night out as several chapters need it: which night, from when to when, and the air in it. Not a chapter itself."""

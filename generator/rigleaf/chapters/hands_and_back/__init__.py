"""Chapter: what is lifted and carried on a night out, against the limits that are recommended for one person."""

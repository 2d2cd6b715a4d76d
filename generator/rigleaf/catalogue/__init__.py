"""What the YAML may say, the reader that keeps every value's place, and faults that name their cure."""

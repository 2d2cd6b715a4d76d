"""Chapter: what the night draws, whether the battery lasts, and whether leads and outlets bear it."""

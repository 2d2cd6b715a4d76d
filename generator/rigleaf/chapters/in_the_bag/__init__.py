"""Chapter: what goes into which bag, and how it is packed there."""

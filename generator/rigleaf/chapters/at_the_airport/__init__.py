"""Chapter: what may fly, and in which bag."""

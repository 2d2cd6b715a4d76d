"""Chapter: when dew or frost comes to the glass, the heat that keeps it away, and what the cold does to parts."""

"""Chapter: what the mount does to stars, whether it can be guided, and how long to expose."""

"""Chapter: image scale, field of view, the star that results, sampling and focus."""

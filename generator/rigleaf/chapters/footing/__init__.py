"""Chapter: whether the loaded tripod stands all night, and in which wind it would tip."""

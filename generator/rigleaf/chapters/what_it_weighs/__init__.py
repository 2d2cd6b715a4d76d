"""Chapter: the mass of every part, on the mount, on the tripod and in all, and how well it is known."""

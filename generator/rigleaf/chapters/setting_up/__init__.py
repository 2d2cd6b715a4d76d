"""Chapter: in which order a rig is set up, how long that takes, and whether it may be left alone."""

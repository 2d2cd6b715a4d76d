"""A rig as people send it to each other: one file, or a few lines."""

"""Leaves: all that is finished of one rig by itself, kept on disk, and made by several processes."""

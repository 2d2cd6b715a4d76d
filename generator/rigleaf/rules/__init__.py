"""Published rules as dated data, and what they say of the parts of a rig."""

"""Chapter: the nights at the rig's place, and when its targets can be photographed from there."""

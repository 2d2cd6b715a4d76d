"""Chapter: what of each target the frame holds, at which angle, in how many panels, and how fine it shows."""

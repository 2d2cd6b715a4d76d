"""The sky that a rig is pointed at: stars, deep-sky objects, and their projection onto a sensor."""

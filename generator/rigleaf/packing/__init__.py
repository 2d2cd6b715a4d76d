"""Boxes into bags: what cannot go in, a search for what can, and a check of every packing that it finds. Pure, no I/O."""

"""Boxes into bags: what cannot go in, a search for what can, and a check of all that it finds. Pure, no I/O."""

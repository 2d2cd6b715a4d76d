"""Chapters of a rig page. Each is a folder of its own; `register` lists them in order."""

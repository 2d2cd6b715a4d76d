"""rigleaf: a field guide to portable astrophotography rigs, made from YAML."""

__version__ = "0.1.0"

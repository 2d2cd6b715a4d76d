"""Typed models of everything a guide's YAML may say."""

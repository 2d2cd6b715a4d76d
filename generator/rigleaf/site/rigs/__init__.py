"""The pages of rigs: of each, of all to find one, of a few side by side."""

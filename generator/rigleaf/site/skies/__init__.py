"""The pages of targets and places, and the files of mosaics."""

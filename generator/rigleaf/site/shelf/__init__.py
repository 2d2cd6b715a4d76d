"""The pages of parts: what is stated of each, its photos, and what is still only claimed."""

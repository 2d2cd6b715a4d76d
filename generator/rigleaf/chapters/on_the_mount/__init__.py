"""Chapter: whether the mount carries, turns and balances the load, and whether it sits on the tripod."""

"""The club's book of loans: what is out, what is spoken for, and what that leaves of every rig."""

"""What the command line prints and writes."""

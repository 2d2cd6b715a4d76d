"""What is printed to go along with a rig: its card, its hand-over, its labels and their codes."""

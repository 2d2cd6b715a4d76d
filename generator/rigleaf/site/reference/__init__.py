"""Pages that explain: methods, rules of flight, answers about figures, the guide without signal."""

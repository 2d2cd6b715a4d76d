"""The study of a journey: what travels, in which bag, with whom, what the rules of flight say, and the nights there."""

"""The pages of journeys, and what is printed for one."""

"""A plan that is asked for, and the part marked with it."""

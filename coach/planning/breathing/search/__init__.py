"""The search for the cheapest breaths: its steps, and a plan played through."""

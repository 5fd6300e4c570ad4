"""Real edges into pure hands: what commands, screens and the conductor ask for."""

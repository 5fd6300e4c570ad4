"""The player, the gear and what to take care of."""

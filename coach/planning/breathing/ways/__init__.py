"""Ways to breathe in a gap, and which of them the page and the player leave."""

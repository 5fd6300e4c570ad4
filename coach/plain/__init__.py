"""Lines of text and JSON, for a player who reads no screen and for scripts."""

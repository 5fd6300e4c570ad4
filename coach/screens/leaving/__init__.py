"""Leaving at any moment, and coming back: the terminal, signals, work in hand."""

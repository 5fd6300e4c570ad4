"""Choosing an etude, putting one there, and the log of its runs."""

"""Textual: shows values, sends intentions."""

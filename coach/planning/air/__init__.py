"""Lungs and flow: litres that a note takes, and what a breath gives back."""

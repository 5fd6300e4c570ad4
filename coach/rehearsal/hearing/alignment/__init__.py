"""Which moment of a take is which note of the page."""

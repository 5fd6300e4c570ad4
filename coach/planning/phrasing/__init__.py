"""Where a musician hears a phrase end."""

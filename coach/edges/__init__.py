"""The world: one folder an outside thing, nothing musical decided here."""

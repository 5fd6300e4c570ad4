"""The world: one file per outside thing, nothing musical decided here."""

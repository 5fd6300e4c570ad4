"""The run log: one SQLite file, appended to and never changed."""

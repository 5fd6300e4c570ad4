"""The page: what is written."""

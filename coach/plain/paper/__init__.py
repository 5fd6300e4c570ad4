"""A marked part to take to the stand, as a page that a browser prints."""

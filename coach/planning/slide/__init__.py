"""Which positions to take and what the tongue does: the walk through a part."""

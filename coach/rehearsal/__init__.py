"""While playing: on a clock that someone else owns."""

"""What an instrument can play: partials, positions, valves."""

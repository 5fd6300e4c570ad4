"""A new etude, typed in ABC with the staff below."""

"""What was heard of a run, in lines and for scripts."""

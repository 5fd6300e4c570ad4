"""What runs only in child processes that look for devices or for onsets."""

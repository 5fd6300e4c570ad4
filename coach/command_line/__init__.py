"""What each command takes, told before any of its work is loaded."""

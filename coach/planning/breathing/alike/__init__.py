"""The same music, the same breath: passes, like phrases, like figures, like plans."""

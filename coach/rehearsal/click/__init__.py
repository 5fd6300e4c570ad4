"""Every sound of a run and when it is due: metre, count-in, clicks, cues, guide."""

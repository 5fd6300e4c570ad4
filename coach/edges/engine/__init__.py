"""The engine process as the screens see it: started, spoken to, watched."""

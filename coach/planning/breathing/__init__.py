"""Where to breathe: places, their cost, the exact search, and what is said of it."""

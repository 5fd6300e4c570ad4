"""What lies ahead: bars that were not played yet, and the minutes that there are."""

"""The front desk: one file a command; here edges are put into pure hands."""

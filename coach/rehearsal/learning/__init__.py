"""What the runs say of a player's air, and for whom the next plan is made."""

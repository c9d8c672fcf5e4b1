"""What is typed about athletes, poles and rosters."""

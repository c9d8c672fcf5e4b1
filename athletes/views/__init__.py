"""Pages of athletes: profiles, restrictions, measurements and cards, poles and notebooks, rosters."""

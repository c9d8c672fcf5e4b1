"""Pure core of "fill for me": the problem and its answer as values, what a place is worth, and a search for places."""

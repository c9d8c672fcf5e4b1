"""Pages of practices."""

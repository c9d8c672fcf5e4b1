"""Pages of the coach, and of those who never log anything."""

"""Practices and what happens in them. A plain package: each room inside is its own Django app."""

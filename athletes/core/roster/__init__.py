"""A roster: cells of a table in, typed rows or named problems out; then what importing them would change."""

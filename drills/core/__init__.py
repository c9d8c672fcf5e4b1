"""The drill catalogue as values: its parts, its phases, its progression, and the file it travels in. Pure."""

"""Reads of summaries: their text, what waits for approval, and what a new one is made of."""

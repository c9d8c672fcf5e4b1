"""Pure figures of the past: day counts, rates by week, what rises or falls, which fault leads to which."""

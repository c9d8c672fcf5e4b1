"""What a summary says and on which evidence: pure."""

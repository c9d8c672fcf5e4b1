"""Reads for whoever logs: today's stations, and all that one station's page needs."""

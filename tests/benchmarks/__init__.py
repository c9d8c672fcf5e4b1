"""Benchmarks: `python -m tests.benchmarks.NAME [--quick]`; the last line is JSON, the exit code says whether limits
hold."""

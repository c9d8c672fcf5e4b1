"""Reads of the boards. Each takes the member first and gives only rows that the member may see."""

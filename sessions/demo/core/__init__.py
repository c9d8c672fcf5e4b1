"""The simulator of the invented club, pure: who is there, what each does, how it goes, what coaches log of it."""

"""Events as values, and what follows from them. Pure: no Django, no clock, no I/O."""

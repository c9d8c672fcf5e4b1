"""Pure parts of the house: numbers in, frozen values out. No Django, no clock, no I/O."""

"""Pure cores of the athlete's profile: no Django, no clock, no input or output; `today` is always an argument."""

"""Pure cores of practices: clock times by zone, the plan as values, the rules a plan is checked against."""

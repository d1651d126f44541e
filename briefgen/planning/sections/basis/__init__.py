"""What was written and what was flown, as figures that every other section reads: the route, the load, phases, clock and fuel sheet."""

"""The planner's bench: a mission tried out with something changed, searched for its limits, flown again under uncertainty."""

"""After take-off: what a crew wrote joined to the plan, the rest flown again from a fix, and the difference explained."""

"""How likely: what thousands of flights of one mission come to, entered as figures beside those of the plan."""

"""The plan held against the mission's rules: one finding a rule, each fact told once."""

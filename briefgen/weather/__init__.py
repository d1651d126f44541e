"""The air between what was forecast: interpolated in place, height and time, with its hazards."""

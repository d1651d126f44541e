"""Many missions at once: planned and rendered side by side, each by itself, and held against each other."""

"""Short written phrases to values: positions, times, winds, heights, and every other form a field may hold."""

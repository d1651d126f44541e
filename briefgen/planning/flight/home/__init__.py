"""The ways home flown: to every place she could turn to from every point, where they are equal, and with an engine stopped."""

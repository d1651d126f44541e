"""Take-off and landing, entered: every runway of the plan in its weather, what it allows, and what is found wrong."""

"""What a schema cannot see: names that must meet and values that must fit each other, each fault at its place."""

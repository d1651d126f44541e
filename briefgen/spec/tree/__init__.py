"""A file to a checked tree that knows where every word stands, and the ways to ask it."""

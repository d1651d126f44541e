"""Property tests draw the same cases on every run and are not timed: the machine they run on may be busy."""

from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.load_profile("repeatable")

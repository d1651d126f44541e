"""briefgen: one written mission becomes a checked plan, a briefing site and printed cards."""

__version__ = "0.1.0"

"""The briefing while it is written: built again on every save, served to this machine alone, the last good one kept."""

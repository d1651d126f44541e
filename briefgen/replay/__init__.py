"""Thousands of flights of one mission at once, under stated uncertainties, from tables of the aircraft's own answers."""

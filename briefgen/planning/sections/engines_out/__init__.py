"""Engines stopped, entered: heights, setting, drift down and waiting on fewer engines."""

"""Frozen data that the rooms hand to each other: mission, aircraft, weather, plan, ledger; no behaviour."""

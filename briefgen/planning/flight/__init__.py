"""A mission flown: from written route, air and aircraft to a settled sortie and the ways home from it; no ledger, no page."""

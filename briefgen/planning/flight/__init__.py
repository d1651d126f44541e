"""A mission flown: from written route, air and aircraft to a settled sortie; no ledger, no page."""

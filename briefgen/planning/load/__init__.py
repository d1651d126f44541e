"""What she carries and where it stands: pieces, tanks, the moments weighed, and bays found for the load; no ledger, no page."""

"""Approvals: a record beside the specification, sealed, signed where asked, and held against the plan of today."""

"""The ledger as it is written: the one way in, the keys that several sections share, and the names of facts."""

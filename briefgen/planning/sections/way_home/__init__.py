"""The ways home, entered: last moments to decide, equal time, a closed destination, an engine failed."""

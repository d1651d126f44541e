"""Ways from any point of a flight to a field: fuel and time, last moments, equal time, on fewer engines too."""

"""Coded reports, forecasts and winds read strictly; what is not understood is refused."""

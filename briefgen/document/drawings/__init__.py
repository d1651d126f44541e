"""Drawings made from blocks of figures: charts with axes, the route map, the day as a picture."""

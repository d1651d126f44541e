"""The weather, entered: along the way and at the fields."""

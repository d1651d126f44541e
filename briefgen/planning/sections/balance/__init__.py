"""Weight and balance, entered: loading sheet, moments of the flight, tanks and fluids, moves of the load."""

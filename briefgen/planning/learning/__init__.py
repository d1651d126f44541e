"""Learning from many flights: how far consumption and speed differ from the aircraft file, and how sure that is."""

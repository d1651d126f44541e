"""Physics and navigation: pure functions of SI floats, each with its source; no files, no state."""

"""An aircraft answering from a physical model: polar, propeller and engines solved together."""

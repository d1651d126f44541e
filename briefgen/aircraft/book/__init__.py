"""An aircraft answering from the charts of its flight manual, and from nothing else."""

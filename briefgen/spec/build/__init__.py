"""Checked trees to the frozen data of the model: one builder for each kind of file."""

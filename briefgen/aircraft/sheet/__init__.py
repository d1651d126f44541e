"""An aircraft printed: the sheet of what its file gives, and its model written out as charts."""

"""What every page and card is made of: printed figures, measured text, shapes, blocks, and the layout they are put in."""

"""Layers of a trip as they are in their files, read onto the grid, with what is wrong with them."""

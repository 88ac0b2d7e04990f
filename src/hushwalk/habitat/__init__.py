"""How good each cell is for the bird, and how many displaying males it holds."""

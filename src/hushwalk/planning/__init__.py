"""Which posts to visit, in which order, when and for how long; arrays only."""

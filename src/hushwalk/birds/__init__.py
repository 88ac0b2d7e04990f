"""From bearings to birds: whose is whose, the ground of each, the next bearing, the search."""

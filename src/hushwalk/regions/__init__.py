"""Wide ground: where to look for new country, ranked."""

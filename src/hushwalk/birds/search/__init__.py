"""The search of a late morning: how long to look where, along which lines, and what they promise."""

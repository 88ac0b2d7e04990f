"""How far a display carries, and how likely it is to be heard at a stop."""

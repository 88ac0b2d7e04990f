"""A log as a place to film: signs of use, its eight sides, room for a hide, and which logs are of one male."""

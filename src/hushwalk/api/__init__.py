"""The face of the program in Python: an opened trip, what it answers, plots and tables."""

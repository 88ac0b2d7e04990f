"""What was noted in the field: typed, tabled or kept by the GPS, into a file that loses nothing."""

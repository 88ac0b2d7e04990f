"""The desk: a local planning page, another door to the stories that the command line calls."""

"""The products of a planned walk."""

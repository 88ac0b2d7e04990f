"""The products of a filming session."""

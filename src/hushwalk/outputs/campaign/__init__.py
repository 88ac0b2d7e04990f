"""The products of several days planned together."""

"""The products of ranked areas."""

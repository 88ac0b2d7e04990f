"""The products of a late-morning search."""

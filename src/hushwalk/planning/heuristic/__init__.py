"""The search for a good plan."""

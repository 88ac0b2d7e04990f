"""The one place where rows and columns meet metres."""

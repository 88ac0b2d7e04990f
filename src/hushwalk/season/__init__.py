"""The season so far: what was walked, heard and found."""

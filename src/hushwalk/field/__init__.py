"""What was noted on the walk, and what it says about where the birds are."""

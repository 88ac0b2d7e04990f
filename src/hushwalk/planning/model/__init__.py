"""The problem, its worth and its clock, and what a plan is."""

"""The story of one dawn walk: posts, the problem, the plan and what it says."""

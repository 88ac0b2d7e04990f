"""The proof: what no plan can exceed."""

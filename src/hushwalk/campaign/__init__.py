"""Several days planned as one job."""

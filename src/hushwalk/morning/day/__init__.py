"""A whole day played many times: what is heard, closed in on, found late in the morning, disturbed, and how late."""

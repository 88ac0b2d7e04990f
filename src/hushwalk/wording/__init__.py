"""Facts become sentences here, and nowhere below."""

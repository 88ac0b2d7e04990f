"""How long it takes to walk from any place to any other, and along which line."""

"""Sun, light and framing at one log."""

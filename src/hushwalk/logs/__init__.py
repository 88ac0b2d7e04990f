"""The sides of a log: facing, backdrop, room for a hide."""

"""Draws what the report holds, and computes nothing."""

from hushwalk.outputs.walk.write import Written, write_all, write_timed

__all__ = ["Written", "write_all", "write_timed"]

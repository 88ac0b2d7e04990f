"""hushwalk: plan a quiet dawn walk that hears as many displaying forest grouse as possible."""

__version__ = "0.1.0"

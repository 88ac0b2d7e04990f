"""hushwalk: plan a quiet dawn walk that hears as many displaying forest grouse as possible."""

from hushwalk.compile_cache import keep_apart

__version__ = "0.1.0"

keep_apart(__version__)

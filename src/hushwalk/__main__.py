"""Lets `python -m hushwalk` do what the command `hushwalk` does.

Everything else is in cli.
"""

from hushwalk.cli import main

main()

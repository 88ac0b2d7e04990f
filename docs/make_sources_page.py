"""Writes docs/sources.md from the sources files, so that the page cannot differ from what the code cites.

The sources themselves live in src/hushwalk/data/sources.
"""

import sys
from pathlib import Path

from hushwalk.sources import all_sources

PAGE = Path(__file__).with_name("sources.md")
HEAD = """# Sources

Made by `make docs` from `src/hushwalk/data/sources/*.toml`; do not edit by hand. "Read" says how much of a source was
read: its full text, its abstract, a second-hand citation of it, or nothing but memory.

| key | source | read | what was taken, and doubts |
|---|---|---|---|
"""


def page() -> str:
    """Give the whole page as text."""
    rows = [
        f"| `{s.key}` | {s.text}{f' <{s.link}>' if s.link else ''} | {s.found} | {s.note} |"
        for s in sorted(all_sources().values(), key=lambda source: source.key)
    ]
    return HEAD + "\n".join(row.replace("\n", " ") for row in rows) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    print(f"wrote {PAGE.name}: {len(all_sources())} sources", file=sys.stderr)

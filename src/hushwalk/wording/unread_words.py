"""Rows of the field notes with a word that this version does not know: named wherever the notes are used.

Which rows these are is notes/ledger.py's business.
"""

from collections.abc import Sequence

from hushwalk.notes.ledger import UnreadRow


def unread_words(rows: Sequence[UnreadRow]) -> list[str]:
    """Name rows of the ledger that were left out, and why."""
    return [
        f"row {row.number} of {row.table} says what this version does not know, and is left out: {row.reason}"
        for row in rows
    ]

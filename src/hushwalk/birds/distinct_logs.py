"""Logs by name and place: a name that was used twice for two places is two logs, and the first is not lost.

logs/use.py says how surely each is in use.
"""

from collections.abc import Sequence

from hushwalk.birds.listening_visits import away_m
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import LogNote
from hushwalk.notes.plausibility import ONE_LOG_M


def distinct_logs(rows: Sequence[LedgerRow]) -> dict[str, LedgerRow]:
    """Give each log its newest note, by a name that no other log has.

    Parameters
    ----------
    rows : logs of the ledger.

    Returns
    -------
    dict
        Newest note by name; of logs that share a name the later ones are called ``"LOG02 (2)"`` and so on.
    """
    found: dict[str, list[list[LedgerRow]]] = {}
    for row in sorted((r for r in rows if isinstance(r.note, LogNote)), key=lambda r: r.note.at):
        same = found.setdefault(row.note.name.strip().upper(), [])  # type: ignore[union-attr]
        near = [log for log in same if _away(log[-1], row) <= ONE_LOG_M]
        if near:
            near[0].append(row)
        else:
            same.append([row])
    return {
        name if k == 0 else f"{name} ({k + 1})": log[-1] for name, logs in found.items() for k, log in enumerate(logs)
    }


def _away(one: LedgerRow, other: LedgerRow) -> float:
    a, b = one.note, other.note
    return away_m(a.place, b.place) if isinstance(a, LogNote) and isinstance(b, LogNote) else float("inf")

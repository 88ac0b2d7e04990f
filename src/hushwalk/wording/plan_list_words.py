"""The plans of a trip in a few lines.

The facts are notes/plan_list.py's.
"""

from collections.abc import Sequence
from pathlib import Path

from hushwalk.notes.plan_list import PlanFacts
from hushwalk.text import counted


def plan_list_words(plans: Sequence[PlanFacts], trip: Path) -> str:
    """Say which plans are kept, a line each."""
    if not plans:
        return f"No plan is kept yet; make one with: hushwalk plan {trip}"
    lines = [_line(one) for one in plans]
    if any(not one.latest for one in plans):
        lines.append("Of several plans of the same hours, notes and commands take the last; name another with --plan.")
    return "\n".join(lines)


def _line(facts: PlanFacts) -> str:
    day, folder = f"{facts.plan.day:%a %d %b %Y}{', evening' if facts.plan.evening else ''}", facts.plan.folder
    if facts.depart is None or facts.back is None:
        return f"{day}  cannot be read; plan that day anew  {folder}"
    noted = f"{counted(facts.noted, 'stop')} noted" if facts.noted else "nothing noted yet"
    later = noted if facts.latest else "a later plan of the day is below"
    times = f"{facts.depart:%H:%M} to {facts.back:%H:%M}"
    return f"{day}  {times}, {counted(facts.stops, 'stop')}, {facts.males:.1f} males; {later}  {folder}"

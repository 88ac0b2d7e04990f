"""Birds of a morning whose log was found: by their place over the season, or by the name noted with the log.

season_birds.py joins birds of mornings and logs.
"""

from hushwalk.birds.distinct_logs import distinct_logs
from hushwalk.birds.morning_fixes import MorningFixes
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import BearingNote, LogNote


def found_logs(book: Notebook, fixed: MorningFixes) -> dict[str, str]:
    """Give the log of every bird of a morning whose log was found with its droppings, by name of the bird.

    Parameters
    ----------
    book : with the logs.
    fixed : the morning; its birds are matched with logs by their place over the season.

    Returns
    -------
    dict
        Names of the logs. A log that was noted with a name of the bird counts too if that morning is the last one up
        to the day of the log on which a bird had that name: names are given anew each morning.
    """
    found = {}
    bearings = [row.note for row in book.notes("bearing") if isinstance(row.note, BearingNote)]
    heard = [(note.bird, note.at.astimezone(book.zone).date()) for note in bearings]
    for name, row in distinct_logs(book.notes("log")).items():
        log = row.note
        if isinstance(log, LogNote) and log.bird and log.droppings.endswith("pile"):
            until, bird = log.at.astimezone(book.zone).date(), log.bird.strip().upper()
            if max((day for own, day in heard if own == bird and day <= until), default=None) == fixed.notes.day:
                found[bird] = name
    by_place = {fix.bird: fixed.male_of(fix.bird) for fix in fixed.fixes}
    return found | {bird: ", ".join(male.logs) for bird, male in by_place.items() if male and male.logs}

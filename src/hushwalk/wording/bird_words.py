"""A morning's fixes in words: whose bearing is whose, the ground to search, and where to stand next.

How they come about is morning_fixes.py's business.
"""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from hushwalk.birds.bird_report import LocatedBird, OneOrTwo, SeasonMale
from hushwalk.birds.fix import FixCaution, FixWarning, NoPoint, Refusal
from hushwalk.birds.morning_fixes import MorningFixes
from hushwalk.birds.next_bearing import Stand
from hushwalk.birds.stands_on_foot import NoStand, WhyNoStand
from hushwalk.birds.story import FixReport
from hushwalk.grid.points import lonlat_text
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import BearingNote
from hushwalk.site.place import Place
from hushwalk.text import counted
from hushwalk.wording.measures import distance, small_area
from hushwalk.wording.unread_words import unread_words

AVERAGED = (
    "Each ground counts all the ways in which the bearings may belong to birds, not only the one shown. "
    "To see the ground of the names as noted: --as-noted."
)
KEY_LENGTH = 8  # judgement: as much of a note's key as one types without a slip


def fix_words(report: FixReport) -> str:
    """Give the fixes of a morning in words.

    Parameters
    ----------
    report : of the morning.

    Returns
    -------
    str
        The text to print, with its line breaks.
    """
    fixed = report.fixed
    heard = len({b.stop for b in fixed.bearings})
    count = (
        f"{counted(len(fixed.bearings), 'bearing')} from {heard} of "
        f"{counted(len({w.stop for w in fixed.listening}), 'stop')}"
    )
    lines = [
        f"{report.title}, {fixed.notes.day:%A %d %B %Y}: {count}",
        "",
        'whose bearing is whose, as proposed; to fix one: hushwalk note TRIP --mend KEY b2 pin --why "..."',
        *_assignment(fixed),
    ]
    if fixed.unnamed:
        lines.append(f"  left out, because no bird is named: {counted(fixed.unnamed, 'bearing')}")
    if fixed.notes.doubles:
        lines.append(f"  kept twice, typed and by the GPS, and counted once: {counted(fixed.notes.doubles, 'bearing')}")
    lines += [f"  {row}" for row in unread_words(report.unread)]
    for pair in report.pairs:
        lines += ["", *pair_lines(pair)]
    for bird in report.birds:
        lines += ["", *bird_lines(bird)]
    if fixed.association.sharing is not None:
        lines += ["", AVERAGED]
    return "\n".join(
        [*lines, "", f"Walking times are from {report.here}. The ground is the answer; the middle is to steer by."]
    )


def pair_lines(pair: OneOrTwo) -> list[str]:
    """Say of two birds that they may be one, and where to stand to know."""
    one, other = pair.names
    lines = [f"{one} and {other} may be one bird: chance {pair.chance:.0%}"]
    if pair.place is None:
        return [*lines, "  to decide     no stand in reach would say"] if pair.looked else lines
    a, b = pair.towards_two_deg
    return [
        *lines,
        f"  to decide     stand at {_place(pair.place)}, {pair.minutes:.0f} min from here",
        f"                one bird is near {pair.towards_one_deg:03.0f}, two are near {a:03.0f} and {b:03.0f} (true)",
        f"                one more bearing from there decides rightly with chance {pair.right:.0%}",
    ]


def _assignment(fixed: MorningFixes) -> list[str]:
    by_uid = {row.uid: row for row in fixed.notes.bearing_rows}
    lines = []
    for bird in fixed.association.birds:
        lines.append(f"  {bird.name}  {odds_words(bird.odds)}")
        lines += [f"      {noted_bearing_words(by_uid[uid], fixed.zone)}" for uid in bird.uids]
    return lines


def noted_bearing_words(row: LedgerRow, zone: ZoneInfo) -> str:
    """Say one bearing as it was noted: key, time, reading, stop, bird."""
    said = row.note
    if not isinstance(said, BearingNote):
        return row.uid[:KEY_LENGTH]
    name = f"noted as {said.bird}{', kept' if said.pinned else ''}" if said.bird else "not named"
    return (
        f"{row.uid[:KEY_LENGTH]}  {said.at.astimezone(zone):%H:%M}  read {said.reading_deg:03.0f} {said.north}, true "
        f"{said.azimuth_deg:03.0f}, from {said.stop or 'a stop'}, {name}"
    )


def bird_lines(bird: LocatedBird) -> list[str]:
    """Give one bird, line by line."""
    sizes = ", ".join(f"{g.share:.0%} in {small_area(g.area_ha)}" for g in bird.grounds)
    lines = [f"{bird.name}: {sizes}, from {counted(len(bird.lines), 'bearing')}"]
    if bird.one_bird is not None and len(bird.lines) > 1:
        lines.append(f"  one bird      all its bearings are of one bird with chance {bird.one_bird:.0%}")
    if bird.male is not None and len(bird.male.mornings) + len(bird.male.logs) > 1:
        lines.append(f"  season        {male_words(bird.male)}")
    lines.append(f"  middle        {_place(bird.middle)}")
    if bird.point:
        lines.append(f"  lines cross   {_place(bird.point)}")
    elif bird.refusal:
        lines.append(f"  no point      {refusal_words(bird.refusal)}")
    lines += [f"  note          {warning_words(warning)}" for warning in bird.warnings]
    if bird.stand:
        stand = bird.stand
        lines += [
            f"  next bearing  stand at {_place(stand.place)}",
            f"                facing {stand.towards_magnetic_deg:03.0f} compass, {stand.towards_deg:03.0f} true",
            f"                {stand_words(stand.worth)}",
        ]
    elif bird.no_stand:
        lines.append(f"  next bearing  none: {no_stand_words(bird.no_stand)}")
    return lines


def male_words(male: SeasonMale) -> str:
    """Say which male of the season a bird is, on how many mornings he was heard, and which logs are his."""
    days = ", ".join(f"{day:%d %B} as {name}" for day, name in male.mornings)
    logs = f"; log {', '.join(male.logs)}" if male.logs else ""
    return f"male {male.number}, heard on {days}{logs}; all of one male with chance {male.one_bird:.0%}"


def _place(place: Place) -> str:
    return f"{place.lat_deg:.5f}, {place.lon_deg:.5f}  {place.usng}  ({lonlat_text((place.lon_deg, place.lat_deg))})"


def odds_words(odds: Sequence[float]) -> str:
    """Say how surely the bearings of a bird are its own; no odds where names were kept as noted."""
    if not odds:
        return "as noted"
    least = min(odds)
    return "more than 99 to 1" if least > 99 else f"at least {least:.0f} to 1" if least >= 2 else "hardly sure"  # noqa: PLR2004 - definition: what is shown


def refusal_words(refusal: Refusal) -> str:
    """Say why there is no point."""
    value = refusal.value or 0.0
    return {
        NoPoint.ONE_PLACE: "all bearings are from one place: they give a direction cut off by earshot, not a point",
        NoPoint.PARALLEL: (
            f"the lines cross at {value:.0f} degrees, too nearly parallel to say how far; take one from the side"
        ),
        NoPoint.NO_MEETING: "the lines do not meet in a place",
        NoPoint.TOO_FAR: f"the lines meet farther than {distance(value)} away: they do not meet",
        NoPoint.BEHIND: "the lines meet behind a listener: a bearing is back to front or of another bird",
        NoPoint.ONE_DIRECTION_OPEN: "the bearings leave one direction open",
    }[refusal.reason]


def warning_words(warning: FixWarning) -> str:
    """Say what to bear in mind about a fix."""
    angle = warning.angle_deg or 0.0
    return {
        FixCaution.ACUTE: f"the lines cross at {angle:.0f} degrees; a bearing from the side would shrink the ground",
        FixCaution.MISFIT: (
            f"the bearing {angle:.0f} from {warning.stop or 'a stop'} does not fit the others: it is of another bird, "
            f"back to front or written wrong with chance {warning.chance or 0.0:.0%}"
        ),
        FixCaution.SHARED_ERROR: (
            "bearings from one and the same place share their error; they help less than they seem to"
        ),
    }[warning.caution]


def stand_words(stand: Stand) -> str:
    """Say why to stand there for the next bearing, in one sentence."""
    return (
        f"{stand.travel_s / 60:.0f} min from here, {distance(stand.distance_m)} from the likely place, line crosses at "
        f"{stand.crossing_deg:.0f} degrees, heard with chance {stand.chance_heard:.0%}: the ground to search goes "
        f"from {small_area(stand.area_now_m2 / 1e4)} to about {small_area(stand.area_m2 / 1e4)}"
    )


def no_stand_words(none: NoStand) -> str:
    """Say why there is no place for a next bearing."""
    if none.reason is WhyNoStand.OUT_OF_REACH:
        return f"no place within earshot of it is reached on foot from here in {none.within_min:.0f} min"
    return (
        f"every place within {none.within_min:.0f} min lies nearer than {distance(none.stand_off_m)} to where a bird "
        "may be, or would not shrink the ground"
    )

"""A morning's fixes in words: whose bearing is whose, the ground to search, and where to stand next.

How they come about is fixing.py's business.
"""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from hushwalk.birds.bird_report import LocatedBird
from hushwalk.birds.morning_fixes import MorningFixes
from hushwalk.grid.points import lonlat_text
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import BearingNote
from hushwalk.notes.vocabulary import counted
from hushwalk.site.place import Place

KEY_LENGTH = 8  # judgement: as much of a note's key as one types without a slip


def fix_words(title: str, fixed: MorningFixes, birds: Sequence[LocatedBird], here: str) -> str:
    """Tell the fixes of a morning.

    Parameters
    ----------
    title : name of the place.
    fixed, birds : of the morning.
    here : where one stands, in words.
    """
    heard = len({b.stop for b in fixed.bearings})
    count = (
        f"{counted(len(fixed.bearings), 'bearing')} from {heard} of "
        f"{counted(len({w.stop for w in fixed.listening}), 'stop')}"
    )
    lines = [
        f"{title}, {fixed.notes.day:%A %d %B %Y}: {count}",
        "",
        'whose bearing is whose, as proposed; to fix one: hushwalk note TRIP --mend KEY b2 pin --why "..."',
        *_assignment(fixed),
    ]
    if fixed.unnamed:
        lines.append(f"  left out, because no bird is named: {counted(fixed.unnamed, 'bearing')}")
    for bird in birds:
        lines += ["", *bird_lines(bird)]
    return "\n".join(
        [*lines, "", f"Walking times are from {here}. The ground is the answer; the middle is to steer by."]
    )


def _assignment(fixed: MorningFixes) -> list[str]:
    by_uid = {row.uid: row for row in fixed.notes.bearing_rows}
    lines = []
    for bird, told in zip(fixed.association.birds, fixed.association.sentences, strict=True):
        lines.append(f"  {bird.name}  {told[told.rindex('(') + 1 : -1]}")
        lines += [f"      {_bearing(by_uid[uid], fixed.zone)}" for uid in bird.uids]
    return lines


def _bearing(row: LedgerRow, zone: ZoneInfo) -> str:
    said = row.note
    if not isinstance(said, BearingNote):
        return row.uid[:KEY_LENGTH]
    name = f"noted as {said.bird}{', kept' if said.pinned else ''}" if said.bird else "not named"
    return (
        f"{row.uid[:KEY_LENGTH]}  {said.at.astimezone(zone):%H:%M}  read {said.reading_deg:03.0f} {said.north}, true "
        f"{said.azimuth_deg:03.0f}, from {said.stop or 'a stop'}, {name}"
    )


def bird_lines(bird: LocatedBird) -> list[str]:
    """Tell one bird, line by line."""
    sizes = ", ".join(f"{g.share:.0%} in {g.area_ha:.1f} ha" for g in bird.grounds)
    lines = [f"{bird.name}: {sizes}, from {len(bird.lines)} bearing{'s' if len(bird.lines) > 1 else ''}"]
    lines.append(f"  middle        {_place(bird.middle)}")
    lines.append(f"  lines cross   {_place(bird.point)}" if bird.point else f"  no point      {bird.refusal}")
    lines += [f"  note          {notice}" for notice in bird.notices]
    if bird.stand:
        stand = bird.stand
        lines += [
            f"  next bearing  stand at {_place(stand.place)}",
            f"                facing {stand.towards_magnetic_deg:03.0f} compass, {stand.towards_deg:03.0f} true",
            f"                {stand.reason}",
        ]
    elif bird.why_no_stand:
        lines.append(f"  next bearing  none: {bird.why_no_stand}")
    return lines


def _place(place: Place) -> str:
    return f"{place.lat_deg:.5f}, {place.lon_deg:.5f}  {place.usng}  ({lonlat_text((place.lon_deg, place.lat_deg))})"

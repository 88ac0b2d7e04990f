"""`hushwalk fix`: from the bearings of a morning to the ground where each bird is to be searched for.

The fixing is birds/morning_fixes.py's.
"""

from datetime import datetime
from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP, FiniteRange


@click.command(name="fix")
@TRIP
@click.option("--day", type=click.DateTime(["%Y-%m-%d"]), help="Morning of the notes [the latest with a bearing].")
@click.option("--bird", default="", help="Only this bird, such as B2 [all].")
@click.option("--as-noted", is_flag=True, help="Keep the names of birds as noted, instead of proposing whose is whose.")
@click.option("--from", "here", help="Where you stand now: a stop, CAR or a place [the last stop noted].")
@click.option(
    "--within", "within_min", type=FiniteRange(1, 240), default=30.0, show_default=True, help="Longest walk [min]."
)
@click.option("--no-next", is_flag=True, help="Do not look for the next best bearing.")
@click.option("--notes", type=click.Path(path_type=Path), help="Field notes [TRIP's folder/notes.gpkg].")
@LAYERS
def command(
    trip: Path,
    day: datetime | None,
    bird: str,
    as_noted: bool,
    here: str | None,
    within_min: float,
    no_next: bool,
    notes: Path | None,
    layers: Path | None,
) -> None:
    r"""Tell where each bird heard on a morning of TRIP probably is, and where to stand for one more bearing.

    Never a triangle, but the ground that holds the bird with a chance of 50, 80 and 95 %. Where the bearings allow no
    point the reason is told. No stand is nearer to where a bird may be than the
    distance that is kept from birds (the stand-off).

    \b
    Example:
      hushwalk fix trip.toml
      hushwalk fix trip.toml --bird B2 --from P07 --within 20
    """
    from hushwalk.birds.story import FixRequest, fix_trip
    from hushwalk.wording.bird_words import fix_words

    request = FixRequest(day.date() if day else None, bird, as_noted, here, within_min, next_bearing=not no_next)
    with progress_on_stderr() as progress:
        result = fix_trip(trip, request, notes=notes, layers=layers, progress=progress)
    click.echo(fix_words(result))

"""`hushwalk gather`: from a place on the map to layers and a trip file that can be planned.

Gathering is gather/story.py's story.
"""

import sys
from datetime import date, datetime
from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr

EXIT_WITHOUT_HEIGHTS = 2


@click.command(name="gather")
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path), required=False)
@click.option("--car", help='Where the car stands, as "47.62, -91.70", UTM or USNG.')
@click.option(
    "--reach", "reach_m", type=click.FloatRange(300, 10000), default=2500.0, show_default=True, help="Half a side [m]."
)
@click.option("--region", metavar="W,S,E,N", help="A wide region instead, as west, south, east, north in degrees.")
@click.option("--radius-km", type=click.FloatRange(5, 100), help="A wide region of this radius round --car instead.")
@click.option("--name", help="Name of the place [its coordinates].")
@click.option("--date", "day", type=click.DateTime(["%Y-%m-%d"]), help="The morning [next 25 April].")
@click.option(
    "--contact", envvar="HUSHWALK_CONTACT", default="", help="Your address, told to the services; they ask for one."
)
@click.option("--only", multiple=True, metavar="LAYER", help="Gather this layer only; may be given again.")
@click.option("--refresh", multiple=True, metavar="LAYER", help="Ask anew for this layer, or for all.")
@click.option("--offline", is_flag=True, help="Take answers that were kept by earlier runs; ask nobody.")
@click.option("--dry-run", is_flag=True, help="Say what would be asked, and how much it weighs; ask nobody.")
@click.option("--probe", "probing", is_flag=True, help="Ask every service a small question, and say which answer.")
def command(  # noqa: PLR0917 - one argument an option
    folder: Path | None,
    car: str | None,
    reach_m: float,
    region: str | None,
    radius_km: float | None,
    name: str | None,
    day: datetime | None,
    contact: str,
    only: tuple[str, ...],
    refresh: tuple[str, ...],
    offline: bool,
    dry_run: bool,
    probing: bool,
) -> None:
    r"""Gather the layers of a place from open data services into FOLDER, and write a trip file for it.

    The one command that uses the network, with `forecast`: heights, land cover, trees, streams, trails, roads, houses
    and closed ground, each from the best open service of the country. What is whole already is not asked for again.

    \b
    Example:
      hushwalk gather north_ridge --car "47.62, -91.70" --date 2027-04-25
      hushwalk gather county --region "-92.3,47.2,-91.0,47.9"
      hushwalk gather north_ridge --car "47.62, -91.70" --dry-run
      hushwalk gather --probe
    """
    from hushwalk.gather.transport import AskParams

    ask = AskParams(contact=contact, offline=offline)
    if probing:
        _probe(ask)
        return

    from hushwalk.gather.chosen_ground import chosen_ground
    from hushwalk.gather.dry_run import would_ask
    from hushwalk.wording.gather_words import would_ask_words

    ground = chosen_ground(car, region, reach_m, radius_km)
    if dry_run:
        click.echo(would_ask_words(would_ask(ground.box)))
        return
    if folder is None:
        raise click.UsageError('name a FOLDER for the layers, as: hushwalk gather north_ridge --car "47.62, -91.70"')

    from hushwalk.gather.story import GatherParams, gather
    from hushwalk.gather.trip_files import next_spring, write_area_file, write_trip
    from hushwalk.wording.gather_words import gathered_words

    morning = day.date() if day else next_spring(date.today())  # noqa: DTZ011 - the day of the person who types
    with progress_on_stderr() as progress:
        gathered = gather(folder, ground.box, GatherParams(ask, refresh, only), progress)
    click.echo(gathered_words(gathered))
    if ground.car is None or ground.wide:
        path, new = write_area_file(gathered, name or ground.name, morning)
        following = f"hushwalk areas {path}"
    else:
        path, new = write_trip(gathered, name or ground.name, ground.car, reach_m, morning)
        following = f"hushwalk check {path}"
    click.echo(f"{'wrote' if new else 'left as it was:'} {path}; look it over, then:\n  {following}")
    if not any(one.kind == "elevation" and one.is_there for one in gathered.layers) and not only:
        sys.exit(EXIT_WITHOUT_HEIGHTS)


def _probe(ask: "AskParams") -> None:  # type: ignore[name-defined]  # noqa: F821 - heavy to import
    from hushwalk.gather.dry_run import probe
    from hushwalk.wording.gather_words import probe_line

    good = True
    for one in probe(ask):
        click.echo(probe_line(one))
        good &= one.good
    if not good:
        sys.exit(1)

"""`hushwalk search`: the late-morning search for the logs of the birds that were heard.

The planning is birds/search/search_story.py's.
"""

from datetime import datetime
from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP, FiniteRange
from hushwalk.progress import Step

DAY, CLOCK = click.DateTime(["%Y-%m-%d"]), click.DateTime(["%H:%M"])


@click.command(name="search")
@TRIP
@click.option("--day", type=DAY, help="Morning of the notes [the latest with a bearing].")
@click.option("--on", "search_day", type=DAY, help="Day of the search [the same].")
@click.option("--begin", type=CLOCK, help="Wall-clock time to begin [as early as may be].")
@click.option("--back-by", type=CLOCK, help="Back at the car by [search.until of TRIP, or three hours later].")
@click.option("--hours", type=FiniteRange(0.1, 12), help="Hours that the search may take, instead of --back-by.")
@click.option("--seen-from", type=FiniteRange(1, 40), help="From how far a log is just seen today, metres [6].")
@click.option("--from", "start", help="Where the search begins: CAR, a stop or a place [CAR].")
@click.option("--bird", "birds", multiple=True, help="Only this bird; repeat it [all].")
@click.option("--as-noted", is_flag=True, help="Keep the names of birds as noted, instead of proposing whose is whose.")
@click.option("--notes", type=click.Path(path_type=Path), help="Field notes [TRIP's folder/notes.gpkg].")
@click.option(
    "--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for maps [TRIP's folder/out/DAY]."
)
@click.option("--walked", type=click.IntRange(1), multiple=True, help="Note area N of the last search as searched.")
@LAYERS
def command(
    trip: Path,
    *,
    day: datetime | None,
    search_day: datetime | None,
    begin: datetime | None,
    back_by: datetime | None,
    hours: float | None,
    seen_from: float | None,
    start: str | None,
    birds: tuple[str, ...],
    as_noted: bool,
    notes: Path | None,
    out: Path | None,
    walked: tuple[int, ...],
    layers: Path | None,
) -> None:
    r"""Plan the search for logs on a late morning of TRIP: which ground first, the path through each, when to stop.

    It begins when displays have ended, goes into each area once, and ends at the car. Map page, print sheet, GPX,
    GeoJSON and a summary are written; they show where birds are, so keep them to yourself. Afterwards --walked notes
    what was searched, which lowers that ground for the next search.

    \b
    Example:
      hushwalk search trip.toml
      hushwalk search trip.toml --bird B2 --bird B5 --hours 2.5 --out late_morning
      hushwalk search trip.toml --walked 1 --walked 2 --out late_morning
    """
    from hushwalk.birds.search.search_record import SUMMARY, note_walked
    from hushwalk.birds.search.search_story import SearchRequest, search_trip
    from hushwalk.notes.saved_plans import PLANS, plan_meant, saved_plans
    from hushwalk.outputs.day_folder import day_folder
    from hushwalk.outputs.registry import search_products
    from hushwalk.outputs.write import write
    from hushwalk.wording.search_words import search_words, walked_words

    if walked:
        meant = search_day or day
        planned = plan_meant(saved_plans(trip, SUMMARY), [meant.date()] if meant else [])
        folder = out or (trip.parent / PLANS if planned is None else planned.folder)
        click.echo(walked_words(walked, note_walked(trip, folder / SUMMARY, walked, notes=notes)))
        return
    request = SearchRequest(
        day=day.date() if day else None,
        on=search_day.date() if search_day else None,
        begin=begin.time() if begin else None,
        back_by=back_by.time() if back_by else None,
        hours=hours,
        seen_from_m=seen_from,
        start=start,
        as_noted=as_noted,
        birds=birds,
    )
    with progress_on_stderr() as progress:
        report = search_trip(trip, request, notes=notes, layers=layers, progress=progress)
        progress(Step("drawing"))
        products = search_products(report)
        written = write(products, out or day_folder(trip, report.day, products, SUMMARY))
    click.echo(search_words(report))
    click.echo("written:")
    for one in written:
        click.echo(f"  {one.path}")

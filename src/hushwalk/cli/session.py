"""`hushwalk session`: a log as a film set, or several logs side by side.

The planning is filming/story.py's.
"""

from datetime import datetime
from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP, settings_of


@click.command(name="session")
@TRIP
@click.argument("logs", nargs=-1, required=True)
@click.option("--from", "first", type=click.DateTime(["%Y-%m-%d"]), help="First day [the day of the trip].")
@click.option("--days", type=click.IntRange(1, 60), default=7, show_default=True, help="How many days to weigh.")
@click.option("--evening", is_flag=True, help="Weigh evenings instead of mornings.")
@click.option("--notes", type=click.Path(path_type=Path), help="Field notes with the logs [TRIP's folder/notes.gpkg].")
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for a sheet a log [none].")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", help="Paper of the sheet [a4].")
@LAYERS
def command(
    trip: Path,
    logs: tuple[str, ...],
    first: datetime | None,
    days: int,
    evening: bool,
    notes: Path | None,
    out: Path | None,
    paper: str,
    layers: Path | None,
) -> None:
    r"""Tell where to sit, with which lens, and on which day and hour, at LOGS of TRIP.

    A log is a name from the field notes or from the [camera] table of the trip file, or a place.

    \b
    Example:
      hushwalk session trip.toml LOG03 --days 14 --out sheets
      hushwalk session trip.toml LOG03 LOG05 "47.6231, -91.7052"
    """
    settings = settings_of(trip, layers)  # a fault in the trip file is said before what takes seconds to load

    from hushwalk.filming.series import plan_series
    from hushwalk.filming.story import SessionRequest, plan_sessions
    from hushwalk.notes.notebook import ledger_file
    from hushwalk.wording.log_choice_words import compare_words
    from hushwalk.wording.session_words import log_words
    from hushwalk.wording.shot_words import series_words

    ledger = notes or ledger_file(trip)
    request = SessionRequest(
        logs, first.date() if first else None, days, evening, ledger, notes_named=notes is not None
    )
    with progress_on_stderr() as progress:
        report = plan_sessions(settings, settings.camera, request, progress)
    if len(report.logs) > 1:
        click.echo(compare_words(report) + "\n")
    click.echo("\n\n".join(log_words(report, plan) for plan in report.logs))
    series = plan_series(report.logs, report.peak)
    click.echo("\n" + "\n".join(series_words(series)))
    if out is not None:
        from hushwalk.outputs.registry import session_products
        from hushwalk.outputs.write import write

        for file in write(session_products(report, series, [(plan.name, plan) for plan in report.logs], paper), out):
            click.echo(f"  {file.path}")

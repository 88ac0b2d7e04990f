"""``hushwalk logs``: which of the logs found to film at.

How a log is weighed is the filming room's business.
"""

from datetime import datetime
from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP, settings_of


@click.command(name="logs")
@TRIP
@click.option("--from", "first", type=click.DateTime(["%Y-%m-%d"]), help="First day [the day of the trip].")
@click.option("--days", type=click.IntRange(1, 60), default=14, show_default=True, help="How many days to weigh.")
@click.option("--evening", is_flag=True, help="Weigh evenings instead of mornings.")
@click.option("--notes", type=click.Path(path_type=Path), help="Field notes with the logs [TRIP's folder/notes.gpkg].")
@LAYERS
def command(
    trip: Path, first: datetime | None, days: int, evening: bool, notes: Path | None, layers: Path | None
) -> None:
    r"""Set all logs found for TRIP side by side, and plan a series of days at the best of them.

    Logs come from the field notes and from the [camera] table of the trip file.

    \b
    Example:
      hushwalk logs trip.toml
      hushwalk logs trip.toml --from 2027-04-24 --days 10
    """
    settings = settings_of(trip, layers)

    from hushwalk.filming.log_places import names_of_logs
    from hushwalk.filming.series import plan_series
    from hushwalk.filming.story import SessionRequest, plan_sessions
    from hushwalk.notes.notebook import ledger_file
    from hushwalk.wording.log_choice_words import compare_words, halves_words
    from hushwalk.wording.shot_words import series_words

    ledger = notes or ledger_file(trip)
    names = names_of_logs(settings.camera, ledger)
    start = first.date() if first else None
    request = SessionRequest(names, start, days, evening, ledger, notes_named=notes is not None)
    with progress_on_stderr() as progress:
        report = plan_sessions(settings, settings.camera, request, progress)
    click.echo(compare_words(report) + "\n")
    click.echo("\n".join(halves_words(report)) + "\n")
    click.echo("\n".join(series_words(plan_series(report.logs, report.peak))))

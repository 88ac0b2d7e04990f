"""`hushwalk plan`: the main job, from a trip file to maps in a folder.

The story itself is morning/story.py's.
"""

import json
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP, FiniteRange, notes_of, settings_of, warn_of_the_past
from hushwalk.errors import SettingsError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hushwalk.campaign.campaign_plan import Outing
    from hushwalk.morning.solved_plan import RunParams
    from hushwalk.progress import Progress
    from hushwalk.site.settings import TripSettings
    from hushwalk.worker import Worker


@click.command(name="plan")
@TRIP
@click.option(
    "--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for the maps [TRIP's folder/out/DAY]."
)
@LAYERS
@click.option(
    "--think",
    "search_s",
    type=FiniteRange(0.1, 3600),
    default=2.0,
    show_default=True,
    help="Seconds of search for the plan.",
)
@click.option(
    "--proof",
    "proof_s",
    type=FiniteRange(0, 36000),
    default=2.0,
    show_default=True,
    help="Seconds for the proof of how good it is; 0 asks for none.",
)
@click.option(
    "--steps", type=click.IntRange(1), help="Search this many steps instead of seconds: same seed, same plan."
)
@click.option(
    "--proof-steps",
    "proof_nodes",
    type=click.IntRange(0),
    help="Prove with this many beginnings of walks instead of seconds: same seed, same proof.",
)
@click.option("--fresh", is_flag=True, help="Take nothing from an earlier run of the same trip, and keep nothing.")
@click.option(
    "--notes", type=click.Path(path_type=Path), help="Field notes to heed and draw, or none [TRIP's folder/notes.gpkg]."
)
@click.option(
    "--share",
    "share_m",
    type=FiniteRange(100, 10000),
    metavar="GRID_M",
    help="Write only what may be shown to others, places coarsened to cells of GRID_M m [into TRIP's folder/shared].",
)
@click.option("--must", multiple=True, metavar="PLACE", help="A stop that must be; repeat it [wishes.must of TRIP].")
@click.option("--must-not", multiple=True, metavar="PLACE", help="No stop there; repeat it [wishes.must_not].")
@click.option(
    "--not-across",
    multiple=True,
    metavar="LINE",
    help="A line that nobody crosses: places with ; between them; repeat it [wishes.not_across].",
)
@click.option(
    "--days", type=click.IntRange(1, 14), help="Plan this many days together, from that of TRIP on [campaign.days]."
)
@click.option("--evening", is_flag=True, help="Plan the hours before sunset instead of the morning [evening].")
@click.option("--evenings", is_flag=True, help="Of several days, plan the evenings as well [campaign.evenings].")
@click.option("--after", "after_log", metavar="LOG", help="The evening begins at the hide of LOG.")
@click.option(
    "--session-ends",
    type=click.DateTime(["%H:%M"]),
    help="When the session at LOG ends [that of the morning].",
)
@click.option("--start", metavar="PLACE", help="Where you are set down, if not at the car [wishes.start].")
@click.option("--shorter", type=click.IntRange(0, 600), help="Back so many minutes sooner [wishes.shorter_minutes].")
@click.option("--other-way-back", is_flag=True, help="Another way back than the way out [wishes.other_way_back].")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of words.")
def command(
    trip: Path,
    *,
    out: Path | None,
    layers: Path | None,
    search_s: float,
    proof_s: float,
    steps: int | None,
    proof_nodes: int | None,
    fresh: bool,
    notes: Path | None,
    share_m: float | None,
    must: tuple[str, ...],
    must_not: tuple[str, ...],
    not_across: tuple[str, ...],
    days: int | None,
    evening: bool,
    evenings: bool,
    after_log: str | None,
    session_ends: datetime | None,
    start: str | None,
    shorter: int | None,
    other_way_back: bool,
    as_json: bool,
) -> None:
    r"""Plan the morning of TRIP and write map page, print sheet, GPS and data files.

    \b
    Example:
      hushwalk plan north_ridge/trip.toml
      hushwalk plan trip.toml --layers downloaded --out maps --proof 60
      hushwalk plan trip.toml --share 2000
      hushwalk plan trip.toml --days 3
      hushwalk plan trip.toml --days 2 --evenings
      hushwalk plan trip.toml --evening
      hushwalk plan trip.toml --evening --after LOG2 --session-ends 17:45
      hushwalk plan trip.toml --shorter 60 --must "47.38, -90.34" --other-way-back
    """
    ledger = notes_of(notes, trip)
    settings = settings_of(trip, layers)  # a fault in the trip file is said before what takes seconds to load
    warn_of_the_past(settings)
    lines = tuple(tuple(line.split(";")) for line in not_across)
    settings = _as_wished(settings, must, must_not, lines, start, shorter, other_way_back=other_way_back)
    if after_log is not None and not evening:
        raise SettingsError("--after is for the hours before sunset; say --evening as well")

    from hushwalk.campaign.outings import campaign_days
    from hushwalk.morning.solved_plan import RunParams
    from hushwalk.outputs.registry import HEAVY_MODULES
    from hushwalk.worker import Worker

    params = RunParams(search_s=None if steps else search_s, proof_s=proof_s, iterations=steps, proof_nodes=proof_nodes)
    the_days = campaign_days(settings, days, evening=evening, evenings=evenings)
    if after_log is not None and len(the_days) > 1:
        raise SettingsError("--after is for one evening; say --days 1 as well")
    if len(the_days) > 1 and share_m is not None:
        raise SettingsError("several days cannot be shared at once; share one of them with --days 1 --share")
    with progress_on_stderr(shares=True) as progress, Worker("hushwalk.morning.story", *HEAVY_MODULES) as worker:
        if evening and len(the_days) <= 1:
            settings = _evening(settings, after_log, session_ends, ledger, progress)
        run = _Run(trip, settings, params, ledger, progress, worker)
        said, written = run.days(the_days, out) if len(the_days) > 1 else run.day(out, share_m, fresh=fresh)
    if as_json:
        click.echo(json.dumps({"schema": "hushwalk plan 1", "written": [str(path) for path in written]}))
        return
    click.echo(said)
    click.echo("written:")
    for path in written:
        click.echo(f"  {path}")


@dataclass(frozen=True, eq=False)
class _Run:
    """One run: what is planned, how long to think, and who is told."""

    trip: Path
    settings: "TripSettings"
    params: "RunParams"
    ledger: Path
    progress: "Progress"
    worker: "Worker"

    def day(self, out: Path | None, share_m: float | None, *, fresh: bool) -> tuple[str, tuple[Path, ...]]:
        """Plan one morning; give its words and what was written."""
        from hushwalk.morning.cache import NO_CACHE, step_cache_of
        from hushwalk.morning.share import shared_report
        from hushwalk.morning.story import DRAWING, plan_morning
        from hushwalk.outputs.day_folder import day_folder
        from hushwalk.outputs.registry import walk_products
        from hushwalk.outputs.write import write
        from hushwalk.wording.forecast_words import age_words
        from hushwalk.wording.plan_words import summary_words

        cache = NO_CACHE if fresh else step_cache_of(self.settings)
        report = plan_morning(self.settings, self.params, self.progress, self.worker, cache, self.ledger)
        if share_m is not None:
            report = shared_report(report, share_m)
        self.progress(DRAWING)
        products = walk_products(report)
        kept = self.trip.parent / "shared" if share_m else None
        folder = (
            out
            or kept
            or day_folder(self.trip, report.settings.morning.date, products, evening=report.evening is not None)
        )
        said = summary_words(report)
        if self.settings.forecast is not None:
            said += f"\n  note: {age_words(self.settings.forecast, datetime.now(UTC))}"
        return said, tuple(file.path for file in write(products, folder, self.worker))

    def days(self, days: "Sequence[Outing]", out: Path | None) -> tuple[str, tuple[Path, ...]]:
        """Plan several walks together; give their words and what was written."""
        from hushwalk.campaign.story import plan_campaign
        from hushwalk.morning.story import DRAWING
        from hushwalk.outputs.day_folder import write_campaign
        from hushwalk.wording.campaign_words import campaign_words

        campaign = plan_campaign(self.settings, days, self.params, self.progress, self.worker, self.ledger)
        self.progress(DRAWING)
        return campaign_words(campaign), write_campaign(self.trip, campaign, out)


def _evening(
    settings: "TripSettings", after_log: str | None, ends: datetime | None, ledger: Path, progress: "Progress"
) -> "TripSettings":
    """Give the hours before sunset, from the hide of a log on where a session is before them."""
    from hushwalk.site.evening import in_the_evening

    evening = in_the_evening(settings)
    if after_log is None:
        return evening
    from hushwalk.filming.after_session import after_session

    return after_session(settings, evening, after_log, ends.time() if ends else None, ledger, progress)


def _as_wished(
    settings: "TripSettings",
    must: tuple[str, ...],
    must_not: tuple[str, ...],
    not_across: tuple[tuple[str, ...], ...],
    start: str | None,
    shorter: int | None,
    *,
    other_way_back: bool,
) -> "TripSettings":
    """Let what is wished on the command line stand for the keys of the trip file."""
    wishes = settings.wishes
    wished = replace(
        wishes,
        must=must or wishes.must,
        must_not=must_not or wishes.must_not,
        not_across=not_across or wishes.not_across,
        start=start or wishes.start,
        shorter_minutes=wishes.shorter_minutes if shorter is None else shorter,
        other_way_back=other_way_back or wishes.other_way_back,
    )
    return replace(settings, wishes=wished)

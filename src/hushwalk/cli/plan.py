"""`hushwalk plan`: the main job, from a trip file to maps in a folder.

The story itself is morning/story.py's.
"""

import json
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import (
    DAYS,
    LAYERS,
    TRIP,
    FiniteRange,
    days_meant,
    notes_of,
    settings_of,
    warn_of_the_past,
)
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
@DAYS
@click.option("--days", type=click.IntRange(1, 14), help="Plan this many days together, from --day on [campaign.days].")
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
    only: tuple[date | int, ...],
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
      hushwalk plan trip.toml --day 2027-04-25
      hushwalk plan trip.toml --days 3
      hushwalk plan trip.toml --days 2 --evenings
      hushwalk plan trip.toml --evening
      hushwalk plan trip.toml --evening --after LOG2 --session-ends 17:45
      hushwalk plan trip.toml --shorter 60 --must "47.38, -90.34" --other-way-back
    """
    ledger = notes_of(notes, trip)
    the_only = days_meant(trip, only)
    settings = settings_of(trip, layers, min(the_only, default=None))  # faults come before what takes seconds
    warn_of_the_past(settings)
    lines = tuple(tuple(line.split(";")) for line in not_across)
    settings = _as_wished(settings, must, must_not, lines, start, shorter, other_way_back=other_way_back)

    from hushwalk.campaign.outings import campaign_days
    from hushwalk.morning.solved_plan import RunParams
    from hushwalk.outputs.registry import HEAVY_MODULES
    from hushwalk.worker import Worker

    params = RunParams(search_s=None if steps else search_s, proof_s=proof_s, iterations=steps, proof_nodes=proof_nodes)
    the_days = campaign_days(settings, days, evening=evening, evenings=evenings, only=the_only)
    after = _after(after_log, session_ends, evening=evening, many=len(the_days))
    if len(the_days) > 1 and share_m is not None:
        raise SettingsError("several days cannot be shared at once; share one of them with --day 1 --share")
    with progress_on_stderr(shares=True) as progress, Worker("hushwalk.morning.story", *HEAVY_MODULES) as worker:
        run = _Run(trip, settings, params, ledger, progress, worker)
        if len(the_days) > 1:
            said, written = run.days(the_days, out)
        else:
            named = the_days and the_days[0].evening == evening  # an evening that nobody asks for stays with the days
            day = the_days[0].day if named else settings.morning.date
            said, written = run.on_day(day, after, evening=evening).day(out, share_m, fresh=fresh)
    _print(said, written, as_json=as_json)


def _print(said: str, written: tuple[Path, ...], *, as_json: bool) -> None:
    if as_json:
        click.echo(json.dumps({"schema": "hushwalk plan 1", "written": [str(path) for path in written]}))
        return
    click.echo(said)
    click.echo("written:")
    for path in written:
        click.echo(f"  {path}")


class _After(NamedTuple):
    """The log at whose hide an evening begins, and when the session there ends; None for that of the morning."""

    log: str
    session_ends: time | None


def _after(log: str | None, session_ends: datetime | None, *, evening: bool, many: int) -> _After | None:
    if log is None:
        return None
    if not evening:
        raise SettingsError("--after is for the hours before sunset; say --evening as well")
    if many > 1:
        raise SettingsError("--after is for one evening; say --day 1 as well")
    return _After(log, session_ends.time() if session_ends else None)


@dataclass(frozen=True, eq=False)
class _Run:
    """One run: what is planned, how long to think, and who is told."""

    trip: Path
    settings: "TripSettings"
    params: "RunParams"
    ledger: Path
    progress: "Progress"
    worker: "Worker"

    def on_day(self, day: date, after: _After | None, *, evening: bool) -> "_Run":
        """Plan a day, from the best place of the car; after a session from the hide of its log."""
        from hushwalk.campaign.campaign_plan import Outing
        from hushwalk.campaign.story import best_car
        from hushwalk.filming.after_session import after_session
        from hushwalk.site.day_of_trip import on_day

        if after is None:
            car = best_car(self.settings, Outing(day, evening), self.params, self.progress, self.ledger)
            return replace(self, settings=on_day(self.settings, day, evening=evening, car=car))
        own, late = on_day(self.settings, day), on_day(self.settings, day, evening=True)
        late = after_session(own, late, after.log, after.session_ends, self.ledger, self.progress)
        return replace(self, settings=late)

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

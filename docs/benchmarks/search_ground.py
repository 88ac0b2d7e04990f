"""How small the ground to search is, and how often it holds the bird: mornings played from a plan's own stops.

    python docs/benchmarks/search_ground.py                      birds drawn from the model, until 400 grounds
    python docs/benchmarks/search_ground.py --birds known        the demo's simulated birds at their known places; the
                                                                 stops are turned and moved every few mornings
    python docs/benchmarks/search_ground.py --birds hollows      three crowded hollows, twelve males that display
    python docs/benchmarks/search_ground.py --birds beside       the same, but beside the stops
    python docs/benchmarks/search_ground.py --given              whose bearing is whose is given, not proposed

A stop hears each bird over the real ground, loud birds everywhere and faint ones nowhere, and reads a bearing with the
error of the trip file, its strays, and a turn of the compass that the morning shares. Then the bearings are shared out
to birds and each is fixed, as `hushwalk fix` does. Nothing is said of the place.
"""

import argparse
import json
import time
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from scipy.signal import fftconvolve

from hushwalk.birds.association import AssociationParams
from hushwalk.birds.audible_stops import audible_from
from hushwalk.birds.fix import SHARES, FixParams
from hushwalk.birds.morning_fixes import males_per_km2
from hushwalk.birds.posterior import EarshotParams, centres_m, window
from hushwalk.birds.rehearsal import Rehearsal, rehearse
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import to_metres
from hushwalk.hearing.level_soundscape import LEAFLESS
from hushwalk.morning.solved_plan import RunParams
from hushwalk.morning.story import plan_morning
from hushwalk.notes.bearing import BearingError, Listening
from hushwalk.site.detectability import Detectability, detectability_of
from hushwalk.site.site import Site, read_site
from hushwalk.site.trip_file import read_trip

DEMO = Path(__file__).resolve().parents[2] / "data_demo" / "trip.toml"
STEPS = 300  # of the plan's search, so that the same seed gives the same stops
AT_ONCE = 5  # mornings between two looks at the count
SAID_EVERY = 20  # mornings between two tables
HOLLOWS, HOLLOW_M, HOLLOW_MALES = 3, 200.0, 4.0  # of crowded ground, its radius, and males that display in each


def known_density(site: Site, path: Path, displaying: float) -> Layer:
    """Give the known birds as a density by which each displays with its share, in the cell that holds it."""
    read = json.loads(path.read_text(encoding="utf-8"))["features"]
    places = to_metres(site.grid.epsg, np.array([bird["geometry"]["coordinates"][:2] for bird in read]))
    rows, cols = site.grid.rowcol(places)
    values = np.zeros(site.grid.shape)
    inside = site.grid.contains(places)
    values[rows[inside], cols[inside]] = -np.log1p(-displaying) / displaying / site.grid.cell_area_km2
    return site.density.with_values(values)


def model_density(site: Site, mean_per_km2: float) -> Layer:
    """Give the density as the fixes take it to be: one bird in so many pays no heed to the map."""
    doubt, values = EarshotParams().habitat_doubt, np.nan_to_num(site.density.values)
    return site.density.with_values((1 - doubt) * values + doubt * mean_per_km2)


def hollow_density(made: "Morning", rng: np.random.Generator, *, beside: bool) -> Layer:
    """Give crowded hollows: the model's density there, many times over, and no male elsewhere.

    A hollow is drawn as often as the model expects males in it, so that each male by himself lies as the model says and
    only the crowding is not in it; or beside the stops, nearer to them than the model says.
    """
    grid = made.site.grid
    rows, cols = np.indices(grid.shape).reshape(2, -1)
    centres = grid.xy(rows, cols)
    away = np.min([np.hypot(*(centres - np.array(stop.xy_m)).T) for stop in made.stops], axis=0)
    plain = np.nan_to_num(made.density.values.ravel())
    inside = disc(HOLLOW_M, grid.cell_m)
    around = np.maximum(fftconvolve(plain.reshape(grid.shape), inside, mode="same").ravel(), 0.0)
    ear = made.params.earshot
    chance = plain * (away <= ear.half_m) if beside else around * (away <= ear.cap_m)
    values = np.zeros(grid.n_cells)
    for k in rng.choice(grid.n_cells, HOLLOWS, replace=False, p=chance / chance.sum()):
        part = plain * (np.hypot(*(centres - centres[k]).T) <= HOLLOW_M)
        values += part / part.sum() * HOLLOW_MALES / made.part / grid.cell_area_km2
    return made.site.density.with_values(values.reshape(grid.shape))


def disc(radius_m: float, cell_m: float) -> np.ndarray:
    """Give the cells whose centres lie within a radius of that of the middle one."""
    half = int(radius_m // cell_m)
    y, x = np.mgrid[-half : half + 1, -half : half + 1] * cell_m
    return (np.hypot(x, y) <= radius_m).astype(float)


def laid_elsewhere(made: "Morning", rng: np.random.Generator) -> "Morning":
    """Give the same stops turned and moved about the map, so that many known birds come within hearing."""
    grid, places = made.site.grid, np.array([stop.xy_m for stop in made.stops])
    middle = places.mean(axis=0)
    while True:
        turn = rng.uniform(0, 2 * np.pi)
        across = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        row, col = rng.integers(grid.n_rows), rng.integers(grid.n_cols)
        moved = (places - middle) @ across + grid.xy(np.array([row]), np.array([col]))
        reach = made.params.earshot.cap_m
        if all(grid.contains(moved + np.array(off) * reach).all() for off in ((1, 1), (-1, -1))):
            break
    stops = [replace(stop, xy_m=(float(x), float(y))) for stop, (x, y) in zip(made.stops, moved, strict=True)]
    round_stops = centres_m(window(grid, moved, made.expected.earshot))
    expected = replace(made.expected, males_per_km2=males_per_km2(made.site, round_stops))
    return replace(made, stops=stops, audible=audible_from(made.site, made.detectability, stops), expected=expected)


@dataclass(frozen=True, eq=False)
class Morning:
    """A planned morning, ready to be played."""

    site: Site
    detectability: Detectability
    stops: list[Listening]
    audible: dict[str, Layer]
    part: float
    density: Layer
    error: BearingError
    params: FixParams
    expected: AssociationParams


def morning_of(trip: Path, steps: int) -> Morning:
    """Plan the morning of a trip."""
    settings = read_trip(trip)
    site = read_site(settings)
    detectability = detectability_of(settings, site)
    report = plan_morning(settings, RunParams(search_s=None, proof_s=0.0, iterations=steps))
    stops = [
        Listening(stop.place.name, stop.place.xy_m, (stop.leave - stop.arrive).total_seconds() / 60)
        for stop in report.stops
    ]
    print(f"{len(stops)} stops, {sum(stop.minutes or 0 for stop in stops):.0f} minutes of listening")
    part = detectability.display.participation
    ear = EarshotParams(half_m=detectability.level.earshot_m(LEAFLESS), rate_per_min=detectability.display.rate_per_min)
    usual = AssociationParams()
    round_stops = centres_m(window(site.grid, np.array([stop.xy_m for stop in stops]), usual.earshot))
    mean_per_km2 = males_per_km2(site, round_stops)
    expected = replace(
        usual,
        males_per_km2=mean_per_km2,
        displaying_share=part,
        earshot=replace(ear, cell_m=usual.earshot.cell_m),
    )
    error = BearingError(settings.walker.bearing_error_deg)
    params = replace(FixParams(), earshot=replace(ear, cell_m=site.grid.cell_m))
    audible = audible_from(site, detectability, stops)
    return Morning(
        site, detectability, stops, audible, part, model_density(site, mean_per_km2), error, params, expected
    )


def play(trip: Path, birds: str, grounds: int, minutes: float, *, given: bool, seed: int) -> Rehearsal:
    """Play until so many grounds of crossed birds were seen, or the time is up."""
    made, rng, began = morning_of(trip, STEPS), np.random.default_rng(seed), time.perf_counter()
    played = Rehearsal(0, 0, ())
    while sum(b.bearings > 1 for b in played.birds) < grounds and time.perf_counter() - began < minutes * 60:
        layer = made.density
        if birds == "known":
            layer = known_density(made.site, trip.parent / "known_birds.geojson", made.part)
            made = laid_elsewhere(made, rng)
        elif birds in {"hollows", "beside"}:
            layer = hollow_density(made, rng, beside=birds == "beside")
        more = rehearse(
            made.stops,
            made.site.density,
            rng,
            mornings=AT_ONCE,
            displaying_share=made.part,
            audible=made.audible,
            bearing_error=made.error,
            params=made.params,
            share_out=None if given else made.expected,
            birds_per_km2=layer,
        )
        played = Rehearsal(
            played.mornings + more.mornings, played.displayed + more.displayed, (*played.birds, *more.birds)
        )
        if played.mornings % SAID_EVERY == 0:
            print(
                f"{played.mornings} mornings, {time.perf_counter() - began:.0f} s", *table(played), sep="\n", flush=True
            )
    return played


def table(played: Rehearsal) -> list[str]:
    """Give the rows of the page."""
    lines = []
    for least, words in ((1, "all"), (2, "crossed")):
        own = [b for b in played.birds if b.bearings >= least]
        mixed = np.mean([b.mixed for b in own])
        lines.append(f"{words}: {len(own)} grounds, {mixed:.0%} with bearings of two birds")
        lines += [
            f"  {share:.0%}: {played.median_area_ha(share, least_bearings=least):5.1f} ha, holds "
            f"{played.hit_rate(share, least_bearings=least):.1%} of the birds that most bearings are of, "
            f"{played.hit_rate_any(share, least_bearings=least):.1%} of the birds of one bearing each"
            for share in SHARES
        ]
    return lines


def main() -> None:
    """Play and print."""
    said = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    said.add_argument("trip", nargs="?", type=Path, default=DEMO)
    said.add_argument("--birds", choices=("model", "known", "hollows", "beside"), default="model")
    said.add_argument("--grounds", type=int, default=400, help="of birds heard from two stops or more")
    said.add_argument("--minutes", type=float, default=60.0, help="stop after so long, whatever was seen")
    said.add_argument("--given", action="store_true", help="whose bearing is whose is given, not proposed")
    said.add_argument("--seed", type=int, default=24)
    asked = said.parse_args()
    began = time.perf_counter()
    played = play(asked.trip, asked.birds, asked.grounds, asked.minutes, given=asked.given, seed=asked.seed)
    print(f"{asked.birds}: {played.mornings} mornings, {played.displayed} males displayed")
    for line in table(played):
        print(line)
    print(f"{time.perf_counter() - began:.0f} s")


if __name__ == "__main__":
    main()

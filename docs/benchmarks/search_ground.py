"""How small the ground to search is, and how often it holds the bird: mornings played from a plan's own stops.

    python docs/benchmarks/search_ground.py                      the demo, 20 mornings
    python docs/benchmarks/search_ground.py TRIP --mornings 60   any trip
    python docs/benchmarks/search_ground.py --known              the demo's simulated birds at their known places

Males are drawn from the model's density, or stand where known_birds.geojson says; half of them display. A stop hears
each over the real ground, loud birds everywhere and faint ones nowhere, and reads a bearing with the error of the trip
file. Then the bearings are shared out to birds and each is fixed, as `hushwalk fix` does. Nothing is told of the place.
"""

import argparse
import json
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from hushwalk.birds.fix import FixParams
from hushwalk.birds.morning_fixes import audible_from
from hushwalk.birds.posterior import EarshotParams
from hushwalk.birds.rehearsal import Rehearsal, rehearse
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import to_metres
from hushwalk.hearing.level_soundscape import LEAFLESS
from hushwalk.morning.story import RunParams, plan_morning
from hushwalk.notes.bearing import BearingError, Listening
from hushwalk.site.detectability import detectability_of
from hushwalk.site.site import Site, read_site
from hushwalk.site.trip_file import read_trip

DEMO = Path(__file__).resolve().parents[2] / "data_demo" / "trip.toml"
STEPS = 300  # of the plan's search, so that the same seed gives the same stops


def known_density(site: Site, path: Path, displaying: float) -> Layer:
    """Give the known birds as a density by which each displays with its share, in the cell that holds it."""
    told = json.loads(path.read_text(encoding="utf-8"))["features"]
    places = to_metres(site.grid.epsg, np.array([bird["geometry"]["coordinates"][:2] for bird in told]))
    rows, cols = site.grid.rowcol(places)
    values = np.zeros(site.grid.shape)
    inside = site.grid.contains(places)
    values[rows[inside], cols[inside]] = -np.log1p(-displaying) / displaying / site.grid.cell_area_km2
    return site.density.with_values(values)


def play(trip: Path, mornings: int, *, known: bool, shared: bool) -> Rehearsal:
    """Plan the morning, then play it."""
    settings = read_trip(trip)
    site = read_site(settings)
    detectability = detectability_of(settings, site)
    report = plan_morning(settings, RunParams(search_s=None, proof_s=0.0, iterations=STEPS))
    stops = [
        Listening(stop.place.name, stop.place.xy_m, (stop.leave - stop.arrive).total_seconds() / 60)
        for stop in report.stops
    ]
    print(f"{len(stops)} stops, {sum(stop.minutes or 0 for stop in stops):.0f} minutes of listening")
    part = detectability.display.participation
    birds = known_density(site, trip.parent / "known_birds.geojson", part) if known else None
    ear = EarshotParams(half_m=detectability.level.earshot_m(LEAFLESS), rate_per_min=detectability.display.rate_per_min)
    return rehearse(
        stops,
        site.density,
        np.random.default_rng(settings.seed),
        mornings=mornings,
        displaying_share=part,
        audible=audible_from(site, detectability, stops),
        bearing_error=BearingError(settings.walker.bearing_error_deg),
        params=replace(FixParams(), earshot=ear),
        share_out=shared,
        birds_per_km2=birds,
    )


def main() -> None:
    """Play and print."""
    said = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    said.add_argument("trip", nargs="?", type=Path, default=DEMO)
    said.add_argument("--mornings", type=int, default=20)
    said.add_argument("--known", action="store_true", help="birds where known_birds.geojson beside the trip says")
    said.add_argument("--told", action="store_true", help="whose bearing is whose is known, not proposed")
    asked = said.parse_args()
    began = time.perf_counter()
    for sentence in play(asked.trip, asked.mornings, known=asked.known, shared=not asked.told).sentences():
        print(sentence)
    print(f"{time.perf_counter() - began:.0f} s")


if __name__ == "__main__":
    main()

"""Measures the proof of a trip: how near to the best the plan is known to be after 3, 10 and 60 seconds, and each step.

    python docs/benchmarks/proof.py data_demo/trip.toml
    python docs/benchmarks/proof.py docs/guide/real_layers/trip.toml --layers DIR

Seconds are counted from the beginning of the search, both by the clock and of the processor: on a busy machine a run
of 60 s may get the work of 10. The plain walks are the best evenly spaced ones by trail and straight.
"""

import argparse
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import numpy as np

from hushwalk.cli.trip_argument import settings_of
from hushwalk.morning.look_round import Morning
from hushwalk.morning.morning_problem import build_problem, posts_of
from hushwalk.morning.plain_plan import plain_plans, plain_walk_of
from hushwalk.morning.plain_walk import plain_routes
from hushwalk.planning.heuristic.search_state import SearchProgress
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.site.detectability import detectability_of
from hushwalk.site.morning_clock import morning_clock
from hushwalk.site.site import read_site
from hushwalk.site.walk_network import build_walk_network
from hushwalk.wording.morning_words import plain_walk_words

Done = TypeVar("Done")
MARKS_S = (3.0, 10.0, 20.0, 40.0, 60.0)


class Watch:
    """Notes what each step takes, by the clock and of the processor."""

    def __init__(self) -> None:
        self.rows: list[tuple[str, float, float]] = []

    def __call__(self, name: str, step: Callable[[], Done]) -> Done:
        """Do a step and note it."""
        clock, work = time.perf_counter(), time.process_time()
        found = step()
        self.rows.append((name, time.perf_counter() - clock, time.process_time() - work))
        return found

    def tell(self) -> None:
        """Print each step with its share."""
        whole = sum(work for _, _, work in self.rows)
        for name, clock, work in self.rows:
            print(f"  {name:12} {clock:6.1f} s  {work:6.1f} s of the processor  {work / whole:4.0%}")


def main() -> None:
    """Measure one trip."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("trip", type=Path)
    parser.add_argument("--layers", type=Path)
    parser.add_argument("--seconds", type=float, default=60.0)
    asked = parser.parse_args()
    settings, watch = settings_of(asked.trip, asked.layers), Watch()
    site = watch("layers", lambda: read_site(settings))
    clock = morning_clock(settings.morning, site.car.lon_deg, site.car.lat_deg)
    detectability = watch("soundscape", lambda: detectability_of(settings, site))
    way = watch("reach", lambda: build_walk_network(settings, site, clock))
    morning = Morning(settings, site, clock, detectability, way)
    plain = watch("plain walks", lambda: plain_routes(morning))
    posts = watch("posts", lambda: posts_of(morning, sum(len(route.stops_xy) for route in plain)))
    morning_problem = watch("times", lambda: build_problem(morning, posts, plain))
    solve(
        morning_problem.problem, SolveParams(search_s=0.1, proof_s=0.1), np.random.default_rng(1)
    )  # compiled code is loaded
    said, before = [], time.process_time()

    def note(now: SearchProgress) -> None:
        said.append((now.seconds, time.process_time() - before, now.worth, now.bound))

    limits = SolveParams(search_s=2.0, proof_s=asked.seconds - 2.0)
    result = watch(
        "solving", lambda: solve(morning_problem.problem, limits, np.random.default_rng(settings.seed), note)
    )
    walks = watch("comparison", lambda: [plain_walk_of((one,)) for one in plain_plans(morning_problem)])
    problem, plan = morning_problem.problem, result.plan
    print(f"{asked.trip}: {len(posts)} posts, {clock.window_s / 60:.0f} min, {problem.targets} target cells")
    for mark in (m for m in MARKS_S if m <= asked.seconds):
        known = [row for row in said if row[0] <= mark and np.isfinite(row[3])]
        if known:
            _, work, worth, bound = known[-1]
            gap = 1 - worth / bound
            print(f"  {mark:4.0f} s ({work:5.1f} s of the processor): {worth:.4f} of {bound:.4f}, gap {gap:.1%}")
    proven = f"gap {result.certificate.gap:.2%}" if result.certificate else "nothing is proven"
    print(f"  at the end: {proven}; {len(plan.visits)} stops, {plan.worth:.3f} males expected")
    for walk in walks:
        times = plan.worth / walk.males_expected
        print(f"  {walk.males_expected:.3f} males, the plan {times:.2f} x: {plain_walk_words(walk)}")
    watch.tell()


if __name__ == "__main__":
    main()

"""Print how near the router comes to the best known scores of public orienteering instances.

The command that prints the table is on the page itself, orienteering.md. FOLDER holds the instances and, where known,
best_known.csv. No solver but our own is run here; others are compare_solvers.py's.
"""

import argparse
import platform
import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from instances import all_instances, read_best, read_instance

from hushwalk.planning.model.problem import Problem
from hushwalk.planning.solve import SolveParams, solve

WARM_STEPS = 5000  # judgement: enough for every part of the search to have been used, so that it is compiled


@dataclass(frozen=True)
class Row:
    """What the runs on one instance gave: scores, when the best was met [s], and what they are held against."""

    name: str
    points: int
    top: float | None
    proven: float | None
    scores: list[float]
    met_s: list[float]

    @property
    def gaps(self) -> list[float]:
        """Percent below the best known score."""
        return [(self.top - s) / self.top * 100 if self.top else 0.0 for s in self.scores] if self.top else []


def measured(given: argparse.Namespace) -> Iterator[Row]:
    """Solve every chosen instance with every seed; a run ends early once it has the best known score."""
    file = given.folder / "best_known.csv"
    known = read_best(file) if file.exists() else {}
    warm = False
    for name, path in all_instances(given.folder).items():
        problem = read_instance(path)
        if not (re.search(given.select, name) and given.points[0] <= problem.posts <= given.points[1]):
            continue
        if not warm:
            solve(problem, SolveParams(search_s=None, iterations=WARM_STEPS), np.random.default_rng(0))
            warm = True
        top, proven = known.get(name, (None, None))
        run = SolveParams(search_s=given.seconds, clock=given.clock, enough=np.inf if top is None else top)
        results = [solve(problem, run, np.random.default_rng(given.first_seed + s)) for s in range(given.seeds)]
        if proven is None and given.proof > 0:
            proven = bound_of(problem, given.proof)
        scores, met = [r.plan.worth for r in results], [r.history[-1][0] for r in results]
        yield Row(name, problem.posts, top, proven, scores, met)


def bound_of(problem: Problem, seconds: float) -> float | None:
    """Prove what no walk can exceed."""
    run = SolveParams(search_s=1.0, proof_s=seconds)
    proven = solve(problem, run, np.random.default_rng(0)).certificate
    return None if proven is None else proven.bound


def print_rows(rows: Iterator[Row]) -> list[Row]:
    """Print a line an instance as it is done."""
    print("| instance | points | best known | no walk exceeds | mean score | gap mean % | gap worst % | hits | met s |")
    print("|---|---|---|---|---|---|---|---|---|")
    done = []
    for row in rows:
        done.append(row)
        said = f"{np.mean(row.gaps):.3f} | {max(row.gaps):.2f} | {hits(row)}/{len(row.gaps)}" if row.gaps else " | | "
        top, proven = ("" if v is None else f"{v:.6g}" for v in (row.top, row.proven))
        print(
            f"| {row.name} | {row.points} | {top} | {proven} | {np.mean(row.scores):.1f} | {said} |"
            f" {np.mean(row.met_s):.2f} |",
            flush=True,
        )
    return done


def hits(row: Row) -> int:
    """Runs that met the best known score."""
    return sum(gap <= 0 for gap in row.gaps)


def print_sets(rows: list[Row]) -> None:
    """Print a line a set, and one for all."""
    sets: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        if row.gaps:
            sets[row.name.split("/")[0]].append(row)
    print("\n| set | instances | runs | gap mean % | gap worst % | runs at the best known |")
    print("|---|---|---|---|---|---|")
    for name, some in [*sets.items(), ("all", [r for part in sets.values() for r in part])]:
        gaps = [gap for row in some for gap in row.gaps]
        if gaps:
            met = sum(hits(row) for row in some)
            print(f"| {name} | {len(some)} | {len(gaps)} | {np.mean(gaps):.3f} | {max(gaps):.2f} | {met} |")
    free = [r for r in rows if r.top is None and r.proven]
    if free:
        below = [(r.proven - s) / r.proven * 100 for r in free for s in r.scores if r.proven]
        print(f"\nNo score known: mean {np.mean(below):.2f} %, worst {max(below):.2f} % below what no walk exceeds")


def main() -> None:
    """Solve every instance with every seed and print the tables."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("folder", type=Path)
    ask.add_argument("--seconds", type=float, default=2.0)
    ask.add_argument(
        "--clock", choices=("wall", "cpu"), default="wall", help="whose seconds: the processor's own or not"
    )
    ask.add_argument("--seeds", type=int, default=5)
    ask.add_argument("--first-seed", type=int, default=0)
    ask.add_argument("--points", type=int, nargs=2, default=(0, 150), metavar=("LEAST", "MOST"))
    ask.add_argument("--select", default="", help="only instances whose name this finds")
    ask.add_argument("--proof", type=float, default=0.0, help="seconds for the bound where none is known")
    given = ask.parse_args()
    whose = "processor seconds of the run's own process" if given.clock == "cpu" else "seconds on the wall"
    print(f"{given.seconds:g} {whose} a run on one core, {given.seeds} seeds, Python {platform.python_version()}")
    print("gap: percent below the best known score; a run ends once it has that score\n")
    print_sets(print_rows(measured(given)))


if __name__ == "__main__":
    main()

"""Print how near the router comes to the best known scores of public orienteering instances.

Run it as ``python docs/benchmarks/orienteering.py FOLDER --seconds 2 --seeds 5 > docs/benchmarks/orienteering.md``;
FOLDER holds the instances and, where known, best_known.csv. No solver but our own is run here.
"""

import argparse
import re
from pathlib import Path

import numpy as np
from instances import all_instances, read_best, read_instance

from hushwalk.planning.solve import SolveParams, solve


def main() -> None:
    """Solve every instance with every seed and print the table."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("folder", type=Path)
    ask.add_argument("--seconds", type=float, default=2.0)
    ask.add_argument("--seeds", type=int, default=5)
    ask.add_argument("--points", type=int, nargs=2, default=(0, 150), metavar=("LEAST", "MOST"))
    ask.add_argument("--select", default="", help="only instances whose name this finds")
    ask.add_argument("--proof", type=float, default=0.0, help="seconds for the bound where none is known")
    given = ask.parse_args()
    known = read_best(given.folder / "best_known.csv") if (given.folder / "best_known.csv").exists() else {}
    names = {k: p for k, p in all_instances(given.folder).items() if re.search(given.select, k)}
    run = SolveParams(search_s=given.seconds)
    print(f"{given.seconds:g} s a run on one core, {given.seeds} seeds; gap = % below the best known score\n")
    print("| instance | points | best known | upper bound | mean score | gap mean % | gap worst % | hits |")
    print("|---|---|---|---|---|---|---|---|")
    gaps: list[float] = []
    warm = False
    for name, path in names.items():
        problem = read_instance(path)
        if not given.points[0] <= problem.posts <= given.points[1]:
            continue
        if not warm:
            solve(problem, SolveParams(search_s=None, iterations=50), np.random.default_rng(0))
            warm = True
        scores = [solve(problem, run, np.random.default_rng(s)).plan.worth for s in range(given.seeds)]
        top = known.get(name)
        if top is None and given.proof > 0:
            proven = solve(problem, SolveParams(search_s=given.seconds, proof_s=given.proof), np.random.default_rng(0))
            top = (proven.certificate.bound,) * 2 if proven.certificate else None
        if top is None:
            print(f"| {name} | {problem.posts} | | | {np.mean(scores):.1f} | | | |", flush=True)
            continue
        own = [(top[0] - s) / top[0] * 100 if top[0] else 0.0 for s in scores]
        gaps += own
        hits = sum(g <= 1e-9 for g in own)
        print(
            f"| {name} | {problem.posts} | {top[0]:g} | {top[1]:g} | {np.mean(scores):.1f} | {np.mean(own):.3f} |"
            f" {max(own):.2f} | {hits}/{len(own)} |",
            flush=True,
        )
    if gaps:
        print(f"\nmean gap {np.mean(gaps):.3f} %, worst {max(gaps):.2f} %, {len(gaps)} runs")


if __name__ == "__main__":
    main()

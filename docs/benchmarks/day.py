"""Whole days, paired: the practitioner's own way and hushwalk's own commands, tried on the same males and drums.

    python docs/benchmarks/day.py data_demo/trip.toml --days 60 --out day.csv

The day is day_world.py's, the ways are day_ways.py's and day_planned.py's; nothing of hushwalk is used but its
command line.
"""

import argparse
import csv
import json
import shutil
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from click.testing import CliRunner
from day_planned import planned
from day_ways import Outcome, practitioner
from day_world import Day, Odds, country_of

from hushwalk.cli import hushwalk
from hushwalk.errors import InputError

WAYS = ("practitioner", "hushwalk", "listening only")


def runner(layers: Path) -> Callable[[list[str]], str]:
    """Run commands of hushwalk with the layers of a folder; an empty text where there was nothing to search for."""

    def run(words: list[str]) -> str:
        more = ["--layers", str(layers)] if words[0] in {"plan", "search"} else []
        got = CliRunner().invoke(hushwalk, [*words, *more])
        if isinstance(got.exception, InputError) and words[0] == "search":
            return ""  # nobody was heard, so that there is nothing to search for
        if got.exception:
            raise RuntimeError(f"hushwalk {' '.join(words)}: {got.output}") from got.exception
        return got.stdout

    return run


def one_day(number: int, odds: Odds, country: object, trip: Path, plan: dict, ways: Sequence[str]) -> dict[str, float]:
    """Play one day in every way."""
    row: dict[str, float] = {"day": number}
    for name in ways:
        rng = np.random.default_rng([number, 7])  # the same males and drums for all
        day = Day(country, odds, rng)
        day.rng = np.random.default_rng([number, 11])
        if name == "practitioner":
            out: Outcome = practitioner(day)
        else:
            with tempfile.TemporaryDirectory() as folder:
                own = Path(shutil.copy(trip, Path(folder) / "trip.toml"))
                out = planned(day, own, plan, runner(trip.parent), closing_in=name == "hushwalk")
        row |= {f"{name}_{key}": value for key, value in out.row(day).items()}
    return row


def table(rows: list[dict[str, float]], ways: Sequence[str]) -> str:
    """Give the means with their standard errors, and how the first two differ day by day."""
    lines = []
    for key in ("heard", "found", "any", "tries", "closed_in", "disturbed", "promised", "mark_m", "back_min"):
        words = []
        for name in ways:
            found = np.array([row[f"{name}_{key}"] for row in rows], dtype=float)
            found = found[np.isfinite(found)]
            words.append(f"{found.mean():.2f} +- {found.std() / max(len(found), 1) ** 0.5:.2f}" if len(found) else "-")
        lines.append("| " + " | ".join([key, *words]) + " |")
    one, other = (np.array([row[f"{name}_found"] for row in rows]) for name in ways[:2])
    gain = other - one
    lines.append(f"found, {ways[1]} less {ways[0]}: {gain.mean():+.2f} +- {gain.std() / len(gain) ** 0.5:.2f}")
    return "\n".join(["| " + " | ".join(["a day", *ways]) + " |", "|" + "---|" * (len(ways) + 1), *lines])


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("trip", type=Path)
    parser.add_argument("--days", type=int, default=60)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--half-m", type=float, default=300.0)
    parser.add_argument("--sd-deg", type=float, default=12.0)
    parser.add_argument("--plan", type=Path, help="summary.json of a plan that is there already")
    parser.add_argument("--ways", nargs="+", choices=WAYS, default=WAYS[:2])
    parser.add_argument("--out", type=Path, default=Path("day.csv"))
    return parser.parse_args()


if __name__ == "__main__":
    said = _arguments()
    country, odds = country_of(said.trip), Odds(half_m=said.half_m, sd_deg=said.sd_deg)
    summary = said.plan
    if summary is None:
        folder = Path(tempfile.mkdtemp())
        runner(said.trip.parent)(["plan", str(said.trip), "--out", str(folder)])
        summary = folder / "summary.json"
    plan = json.loads(summary.read_text(encoding="utf-8"))
    rows: list[dict[str, float]] = []
    for number in range(said.first, said.first + said.days):
        rows.append(one_day(number, odds, country, said.trip, plan, said.ways))
        with said.out.open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)
    print(table(rows, said.ways))

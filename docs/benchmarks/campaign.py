"""Whole springs of four days, paired: hushwalk with its notes, and a practitioner who goes again where he heard.

    python docs/benchmarks/campaign.py data_demo/trip.toml --springs 20 --out campaign.csv

Males keep their logs for the spring and drum anew each morning. The days are day_world.py's, the ways of one day
day_ways.py's and day_planned.py's; nothing of hushwalk is used but its command line.
"""

import argparse
import csv
import json
import math
import shutil
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

import numpy as np
from day import runner
from day_closing_in import told_apart
from day_planned import planned
from day_ways import FIRST_MIN, HOME_MIN, STAND_MIN, Outcome, _clear, _next_by_eye, _search_circles, close_in, given
from day_world import Country, Day, Odds, country_of
from pyproj import Transformer

DAYS = 4
WAYS = ("practitioner", "hushwalk")
XY = tuple[float, float]


def days_of(number: int, country: Country, odds: Odds) -> list[Day]:
    """Give the days of one spring: the same males, as loud as ever, drumming anew."""
    first = Day(country, odds, np.random.default_rng([number, 7]))
    days = []
    for k in range(DAYS):
        day = Day(country, odds, np.random.default_rng([number, 7]))
        day.males, day.loud_db = first.males, first.loud_db
        day.rng = np.random.default_rng([number, 100 + k])
        day.drums = [day._drums() for _ in day.males]  # noqa: SLF001 - of this very benchmark
        day.rng = np.random.default_rng([number, 200 + k])
        days.append(day)
    return days


@dataclass(eq=False)
class Memory:
    """What the practitioner remembers: where birds were heard, marks not yet found, and ground not listened to."""

    fresh: np.ndarray
    stands: list[XY] = field(default_factory=list)
    marks: list[XY] = field(default_factory=list)
    found_m: list[XY] = field(default_factory=list)


def again(day: Day, memory: Memory) -> Outcome:
    """Work a day: first the places where birds were heard before, then good cover by eye; search round all marks."""
    out, country = Outcome(), day.country
    clock, here, goals = FIRST_MIN, country.car, list(memory.stands)
    while True:
        seconds, before = country.walk_seconds(here)
        home = country.walk_seconds(country.car)[0]
        left = HOME_MIN - clock - STAND_MIN
        goals = [xy for xy in goals if (seconds + home)[country.cell(xy)] / 60 < left]
        if goals:
            nearest = min(goals, key=lambda xy: seconds[country.cell(xy)])
            goals.remove(nearest)
            goal = country.cell(nearest)
        else:
            goal = _next_by_eye(country, memory.fresh, seconds, home, left)
        if goal is None:
            break
        day.walk(country.line(before, goal), clock)
        clock += seconds[goal] / 60
        here = country.xy(*goal)
        heard = day.listen(here, clock, clock + STAND_MIN)
        clock += STAND_MIN
        _clear(country, memory.fresh, here)
        out.heard |= {h.male for h in heard}
        if heard and all(math.dist(here, xy) > 100 for xy in memory.stands):
            memory.stands.append(here)
        for bird in told_apart(heard):
            room = HOME_MIN - clock - home[country.cell(here)] / 60 - 25
            if given([*memory.marks, *memory.found_m], bird) or room < 0 or bird[0].judged_m > 350:
                continue
            clock, here, spot, _ = close_in(day, bird, here, clock)
            out.tries += 1
            if spot is not None:
                memory.marks.append(spot)
                out.closed_in += 1
    out.back_min = clock + float(country.walk_seconds(here)[0][country.cell(country.car)]) / 60
    _search_circles(day, memory.marks, out)
    for male in out.found:  # a mark whose log is found is done with
        place = tuple(day.males[male])
        memory.found_m.append(place)
        memory.marks = [mark for mark in memory.marks if math.dist(mark, place) > 60]
    return out


def practitioner_spring(days: list[Day]) -> list[Outcome]:
    """Work the days of a spring by eye and memory."""
    memory = Memory(days[0].country.worth > 0.25)
    return [again(day, memory) for day in days]


def hushwalk_spring(days: list[Day], trip: Path, run: Callable[[list[str]], str]) -> list[Outcome]:
    """Plan, walk, note and search each day; the notes of the days before steer it."""
    outcomes, known = [], set()
    first = date.fromisoformat(_said(trip, "date"))
    for k, day in enumerate(days):
        on = first + timedelta(days=k)
        _say(trip, "date", f"{on}")
        run(["plan", str(trip), "--steps", "600", "--proof", "0", "--out", str(trip.parent / f"plan{k}")])
        plan = json.loads((trip.parent / f"plan{k}" / "summary.json").read_text(encoding="utf-8"))
        out = planned(day, trip, plan, run) if plan["stops"] else Outcome()
        metres = Transformer.from_crs(day.country.epsg, 4326, always_xy=True)
        for male in sorted(out.found - known):
            lon, lat = metres.transform(*day.males[male])
            words = [f"log{male}", "fresh", "12:30", "--day", f"{on}", "--at", f"{lat:.6f}, {lon:.6f}"]
            run(["note", str(trip), *words])
        areas = trip.parent / "search" / "search.json"
        if areas.is_file():
            numbers = [str(area["number"]) for area in json.loads(areas.read_text(encoding="utf-8"))["areas"]]
            walked = [word for number in numbers for word in ("--walked", number)]
            if walked:
                run(["search", str(trip), *walked, "--out", str(areas.parent)])
            areas.unlink()
        known |= out.found
        outcomes.append(out)
    return outcomes


def _said(trip: Path, key: str) -> str:
    lines = trip.read_text(encoding="utf-8").splitlines()
    return next(line.partition("=")[2].strip() for line in lines if line.startswith(f"{key} ="))


def _say(trip: Path, key: str, value: str) -> None:
    lines = trip.read_text(encoding="utf-8").splitlines()
    said = [f"{key} = {value}" if line.startswith(f"{key} =") else line for line in lines]
    trip.write_text("\n".join(said) + "\n", encoding="utf-8")


def one_spring(number: int, odds: Odds, country: Country, trip: Path) -> dict[str, float]:
    """Play one spring in both ways."""
    row: dict[str, float] = {"spring": number}
    with tempfile.TemporaryDirectory() as folder:
        own = Path(shutil.copy(trip, Path(folder) / "trip.toml"))
        for name in WAYS:
            days = days_of(number, country, odds)
            outcomes = practitioner_spring(days) if name == WAYS[0] else hushwalk_spring(days, own, runner(trip.parent))
            found, heard, disturbed = set(), set(), 0
            for k, (day, out) in enumerate(zip(days, outcomes, strict=True), start=1):
                found, heard, disturbed = found | out.found, heard | out.heard, disturbed + len(day.near)
                row |= {f"{name}_found{k}": len(found), f"{name}_heard{k}": len(heard)}
                row |= {f"{name}_disturbed{k}": disturbed}
    return row


def table(rows: list[dict[str, float]]) -> str:
    """Give means with standard errors after each day, and the paired difference of logs."""
    lines = ["| after day | " + " | ".join(f"{key}, {way}" for key in KEYS for way in WAYS) + " |"]
    lines.append("|" + "---|" * (1 + len(KEYS) * len(WAYS)))
    for k in range(1, DAYS + 1):
        cells = [_mean([row[f"{way}_{key}{k}"] for row in rows]) for key in KEYS for way in WAYS]
        lines.append(f"| {k} | " + " | ".join(cells) + " |")
    for k in (1, 2, 3, 4):
        gain = np.array([row[f"hushwalk_found{k}"] - row[f"practitioner_found{k}"] for row in rows])
        lines.append(f"\nlogs after day {k}, hushwalk less practitioner: {_mean(gain)}")
    for way in WAYS:
        some = np.mean([row[f"{way}_found2"] > 0 for row in rows])
        lines.append(f"\nsprings with a log in the first two days, {way}: {some:.0%} of {len(rows)}")
    return "\n".join(lines)


KEYS = ("found", "heard", "disturbed")


def _mean(values: object) -> str:
    found = np.asarray(values, dtype=float)
    return f"{found.mean():.2f} +- {found.std() / len(found) ** 0.5:.2f}"


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("trip", type=Path)
    parser.add_argument("--springs", type=int, default=20)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--half-m", type=float, default=300.0)
    parser.add_argument("--out", type=Path, default=Path("campaign.csv"))
    return parser.parse_args()


if __name__ == "__main__":
    said = _arguments()
    country, odds = country_of(said.trip), Odds(half_m=said.half_m)
    rows: list[dict[str, float]] = []
    for number in range(said.first, said.first + said.springs):
        rows.append(one_spring(number, odds, country, said.trip))
        with said.out.open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)
    print(table(rows))

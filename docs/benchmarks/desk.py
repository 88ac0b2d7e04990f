"""How soon the desk answers: a stop that is dragged, and each kind of change until its first and its whole plan.

Run: ``HUSHWALK_SHARED_DATA=DIR python docs/benchmarks/desk.py [TRIP ...]``: the demo, and trips of
docs/guide/real_layers by name. The desk runs as it does for a person, and is asked over HTTP as its page asks it:
seconds on the wall, with whatever else the machine does. Beside them stands the processor's own time for the same work
in one process, which a busy machine changes little.
"""

import os
import re
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path
from threading import Event
from typing import Any

import numpy as np
import requests

from hushwalk.desk.planner_work import StopNow, Work
from hushwalk.desk.trip_edits import edited
from hushwalk.errors import HushwalkError
from hushwalk.site.demo_trip import copy_demo

ROOT = Path(__file__).resolve().parents[2]
REAL = ROOT / "docs" / "guide" / "real_layers"
MOVES, SPREAD_DEG = 60, 4e-4  # about 30 to 45 m
ROUNDS = 3


class Page:
    """What the page of a desk asks."""

    def __init__(self, folder: Path) -> None:
        words = [sys.executable, "-m", "hushwalk", "desk", str(folder), "--no-browser"]
        env = {**os.environ, "PYTHONUNBUFFERED": "1"}
        self.server = subprocess.Popen(words, stdout=subprocess.PIPE, text=True, env=env)  # noqa: S603 - our own
        lines = self.server.stdout or []
        address = next(line for line in lines if "token=" in line).strip()
        self.home = address.partition("/?")[0]
        self.session = requests.Session()
        page = self.session.get(address, timeout=60).text
        key = re.search(r'name="hushwalk-key" content="([^"]+)"', page)
        self.session.headers.update({"X-Hushwalk-Key": key[1] if key else "", "Origin": self.home})

    def ask(self, path: str, said: dict[str, Any]) -> Any:  # noqa: ANN401
        """Ask the desk; None where it refuses."""
        answer = self.session.post(f"{self.home}/api/{path}", json=said, timeout=600)
        return answer.json() if answer.ok else None

    def planned(self, *, whole: bool) -> tuple[float, Any]:
        """Wait for the plan of what stands; seconds, and the plan."""
        start, known = time.perf_counter(), -1
        while True:
            said = self.session.get(f"{self.home}/api/news?after={known}", timeout=600).json()
            known, plan = said["news"], said["plan"]
            if said["fault"]:
                raise SystemExit(said["fault"])
            if plan and plan["of"] == said["version"] and (plan["whole"] or not whole):
                return time.perf_counter() - start, plan


def dragged(page: Page, plan: dict[str, Any], rng: np.random.Generator) -> list[float]:
    """Seconds of each answer while stops are moved about."""
    took = []
    for _ in range(MOVES):
        stops = [{key: stop[key] for key in ("at", "minutes", "wait", "must")} for stop in plan["stops"]]
        k = int(rng.integers(len(stops)))
        stops[k]["at"] = (np.array(stops[k]["at"]) + rng.normal(0.0, SPREAD_DEG, 2)).tolist()
        start = time.perf_counter()
        said = {"stops": stops, "first_begin": plan["first_begin"], "kept_free_s": plan["kept_free_s"]}
        if page.ask("shape", said) is not None:
            took.append(time.perf_counter() - start)
    return took


def changes(plan: dict[str, Any], k: int) -> dict[str, dict[str, Any]]:
    """One change of each kind; the k-th round of them."""
    stops = plan["stops"]
    at = [round(one + 2e-4 * (k + 1), 6) for one in stops[(k + 1) % len(stops)]["at"]]
    away = stops[(k + 2) % len(stops)]["at"]
    line = [[at[0] + 0.001, at[1] - 0.002], [at[0] + 0.0015, at[1] + 0.002]]
    ring = [[at[0] + 0.004, at[1] + x] for x in (0.004, 0.006)] + [[at[0] + 0.006, at[1] + 0.005]]
    return {
        "a stop moved": {"kind": "move stop", "at": at, "must": None},
        "no stop there": {"kind": "forbid stop", "at": away, "must": None},
        "a line not to cross": {"kind": "add line", "places": line},
        "ground closed": {"kind": "close ground", "places": ring},
        "reserve": {"kind": "set reserve", "reserve": 0.2 + 0.02 * k},
        "wind": {"kind": "set wind", "wind_at_ear_ms": 0.8 + 0.1 * k},
        "back by": {"kind": "set hours", "back_by": f"09:{10 + 3 * k}:00"},
    }


def measure(name: str, folder: Path) -> None:
    """Print the rows of one trip as a person waits for them."""
    page = Page(folder)
    rng = np.random.default_rng(1)
    try:
        opened, plan = page.planned(whole=True)
        page.ask("ground", {})
        print(f"{name}: opened and planned {opened:.1f} s, {len(plan['stops'])} stops")
        dragged(page, plan, rng)  # what is compiled or read at first is no matter of dragging
        row(name, "a stop dragged", dragged(page, plan, rng), 1000, "ms")
        took: dict[str, list[float]] = {}
        for k in range(ROUNDS):
            for what, said in changes(plan, k).items():
                if page.ask("change", said) is None:
                    continue
                took.setdefault(what, []).append(page.planned(whole=False)[0])
                page.ask("undo", {})
                page.planned(whole=False)
        for what, seconds in took.items():
            row(name, f"{what}: first answer", seconds, 1, "s")
    finally:
        page.server.terminate()
        page.server.wait(30)


def measure_processor(name: str, folder: Path) -> None:
    """Print the rows of one trip in the processor's own time."""
    work = Timed()
    path, text = str(folder / "trip.toml"), (folder / "trip.toml").read_text(encoding="utf-8")
    work.first_only = False
    plan, rng, took = work.plan(text, path), np.random.default_rng(1), []
    for k in range(2 * MOVES):
        stops = [dict(stop) for stop in plan["stops"]]
        one = int(rng.integers(len(stops)))
        stops[one]["at"] = (np.array(stops[one]["at"]) + rng.normal(0.0, SPREAD_DEG, 2)).tolist()
        start = time.process_time()
        with suppress(HushwalkError):
            work.shape(text, path, {**plan, "stops": stops})
            took += [time.process_time() - start] if k >= MOVES else []
    row(name, "a stop dragged", took, 1000, "ms of processor")
    work.first_only = True
    times: dict[str, list[float]] = {}
    for k in range(ROUNDS):
        for what, said in changes(plan, k).items():
            start = time.process_time()
            with suppress(StopNow, HushwalkError):
                work.plan(edited(text, said["kind"], said), path)
            times.setdefault(what, []).append(time.process_time() - start)
    for what, seconds in times.items():
        row(name, f"{what}: first answer", seconds, 1, "s of processor")


class Timed(Work):
    """The work of a planning process, here, that can end with its first answer."""

    def __init__(self) -> None:
        super().__init__(self.hear, Event())
        self.first_only = False

    def hear(self, kind: str, _: object) -> None:
        """End with the first answer, if that is all that is wanted."""
        if kind == "plan" and self.first_only:
            raise StopNow


def row(name: str, what: str, seconds: list[float], factor: float, unit: str) -> None:
    """Print median and 95 % as a row of a table."""
    middle, most = np.percentile(np.array(seconds) * factor, [50, 95])
    print(f"| {name} | {what} | {len(seconds)} | {middle:.3g} {unit} | {most:.3g} {unit} |", flush=True)


def main(names: list[str]) -> None:
    """Measure the demo and the real trips that are named."""
    print("| trip | what | times | median | 95 % |\n|---|---|---|---|---|")
    for name in ["demo", *names]:
        with tempfile.TemporaryDirectory() as made:
            folder = Path(made)
            if name == "demo":
                copy_demo(folder)
            else:
                (folder / "trip.toml").write_text((REAL / f"{name}.toml").read_text(encoding="utf-8"), encoding="utf-8")
                for area in (Path(os.environ["HUSHWALK_SHARED_DATA"]) / "areas").iterdir():
                    (folder / area.name).symlink_to(area)
            measure_processor(name, folder)
            measure(name, folder)


if __name__ == "__main__":
    main(sys.argv[1:])

"""Print what each file of a morning takes to write, and its share of the whole; asked for are 6 s for all of the demo.

    python docs/benchmarks/outputs.py data_demo/trip.toml

The plan itself is not measured here; it is made with few steps of search, which changes where the stops lie and not how
much there is to draw. Each line is told once for a process that has written nothing yet, and once for one that has.
"""

import argparse
import os
import platform
import tempfile
import time
import zlib
from collections.abc import Sequence
from pathlib import Path

from hushwalk.morning.report import Report
from hushwalk.morning.solved_plan import RunParams
from hushwalk.morning.story import plan_morning
from hushwalk.outputs.registry import HEAVY_MODULES, walk_products
from hushwalk.outputs.write import WrittenFile, write
from hushwalk.site.trip_file import read_trip
from hushwalk.worker import Worker

ASKED_S = 6.0
STEPS = 2000  # judgement: enough for a walk with as many stops as the best one has
PACKED_BYTES = 60_000_000
"""The reference: so many bytes of a fixed pattern packed by zlib at its sixth level, in the same run."""


def reference_s() -> float:
    """Time of a fixed piece of work that has nothing to do with maps [s]."""
    pattern = bytes(k * k % 251 for k in range(1 << 16)) * (PACKED_BYTES >> 16)
    start = time.perf_counter()
    zlib.compress(pattern, 6)
    return time.perf_counter() - start


def said(head: str, files: Sequence[WrittenFile], wall_s: float, cpu_s: float, reference: float) -> None:
    """Print one writing, the slowest file first."""
    whole = sum(one.seconds for one in files)
    print(
        f"\n{head}: {wall_s:.2f} s by the clock, {wall_s / reference:.1f} times the reference ({cpu_s:.2f} s of work)"
    )
    for one in sorted(files, key=lambda one: -one.seconds):
        share = 100 * one.seconds / whole
        print(f"  {one.path.name:18s} {one.seconds:6.2f} s  {share:5.1f} %  {one.size_bytes / 1000:8.0f} kB")
    met = [f"{name} {'kept' if took <= ASKED_S else 'missed'}" for name, took in (("clock", wall_s), ("work", cpu_s))]
    print(f"  {cpu_s:.2f} s of work in this process; asked for are {ASKED_S:g} s: {', '.join(met)}")


def written(head: str, report: Report, folder: Path, reference: float) -> None:
    """Write everything with one process and print it."""
    start, work = time.perf_counter(), time.process_time()
    files = write(walk_products(report), folder)
    said(head, files, time.perf_counter() - start, time.process_time() - work, reference)


def written_beside(head: str, report: Report, folder: Path, reference: float) -> None:
    """Write as `hushwalk plan` does, with a second process that was started while the plan was made."""
    with Worker("hushwalk.morning.story", *HEAVY_MODULES) as worker:
        time.sleep(START_S)
        start, work = time.perf_counter(), time.process_time()
        files = write(walk_products(report), folder, worker)
        said(head, files, time.perf_counter() - start, time.process_time() - work, reference)


START_S = 10.0
"""The second process loads its libraries while the plan is made; so long is waited for it here."""


def main() -> None:
    """Plan, write three times, print."""
    given = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    given.add_argument("trip", type=Path, help="a trip file, such as data_demo/trip.toml")
    trip = given.parse_args().trip
    report = plan_morning(read_trip(trip), RunParams(search_s=None, proof_s=0.0, iterations=STEPS))
    load = os.getloadavg()[0]
    reference = reference_s()
    print(f"{platform.processor() or platform.machine()}, {os.cpu_count()} cores, load {load:.1f}")
    print(
        f"{len(report.stops)} stops on {report.grid.n_rows} x {report.grid.n_cols} cells; reference {reference:.2f} s"
    )
    with tempfile.TemporaryDirectory() as folder:
        written("first time, one process", report, Path(folder) / "first", reference)
        written("again, one process", report, Path(folder) / "again", reference)
        written_beside("as the plan writes, two processes", report, Path(folder) / "beside", reference)


if __name__ == "__main__":
    main()

"""What the first run after installing takes: builds both wheels, installs each, and does the first things of a trip.

python docs/benchmarks/first_run.py; needs the network, and ten minutes of two idle cores.
"""

import os
import resource
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
UV = ROOT / ".venv" / "bin" / "uv"
PLAN = ("plan", "trip.toml", "--steps", "3000", "--proof-steps", "12", "--fresh", "--out", "out")
STEPS = {
    "first check": ("check", "trip.toml"),
    "first note": ("note", "trip.toml", "--from", "bearings.csv"),
    "first fix": ("fix", "trip.toml"),
    "first plan": PLAN,
    "second plan": PLAN,
}


def timed(step: str, *command: object, folder: Path, **surroundings: str) -> None:
    """Run a command; print the seconds of processors that it and its children took, and those by the clock."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    environment = {**os.environ, "HUSHWALK_CACHE": "off", **surroundings}
    subprocess.run([str(one) for one in command], cwd=folder, env=environment, check=True, capture_output=True)  # noqa: S603 - ours
    after, clock_s = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic() - began
    work_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    print(f"| {step} | {work_s:.1f} s | {clock_s:.1f} s |", flush=True)


def measured(folder: Path, pure: str) -> None:
    """Print a table of one wheel, from building it to the second plan; each first step finds nothing compiled here."""
    print("\n| step | work | clock |\n|---|---|---|")
    timed("build", UV, "build", "-q", "--wheel", "-o", folder / "dist", ROOT, folder=folder, HUSHWALK_PURE=pure)
    (wheel,) = (folder / "dist").glob("*.whl")
    timed("new environment", UV, "venv", "-q", "env", folder=folder)
    timed("install", UV, "pip", "install", "-q", "--python", "env", wheel, folder=folder)
    shutil.copytree(ROOT / "data_demo", folder / "demo")
    hushwalk = folder / "env" / "bin" / "hushwalk"
    for step, command in STEPS.items():
        if step.startswith("first"):
            for kept in (folder / "env").rglob("hushwalk/__pycache__/compiled-*"):
                shutil.rmtree(kept)
        timed(step, hushwalk, *command, folder=folder / "demo")
    print(f"\n{wheel.name}, {wheel.stat().st_size / 1e6:.1f} MB; load now {os.getloadavg()[0]:.1f}", flush=True)


def main() -> None:
    """Measure the pure wheel, and the one with compiled code."""
    for pure in ("1", ""):
        with tempfile.TemporaryDirectory() as folder:
            measured(Path(folder), pure)


if __name__ == "__main__":
    main()

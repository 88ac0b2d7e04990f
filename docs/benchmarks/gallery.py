"""Runs the gallery of bad input through the command line and counts answers that are no answers.

Run: ``python docs/benchmarks/gallery.py [WORKERS] [KIND]``. Each attempt runs in a process of its own, forked from one
that has the program loaded, in a fresh copy of a sound little trip.
"""

import contextlib
import io
import os
import resource
import shutil
import sys
import tempfile
import threading
import time
import traceback
import unicodedata
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from gallery_attempts import Attempt, make_country
from gallery_words import attempts

from hushwalk.cli import COMMANDS, hushwalk, main

MOST_S, MOST_MB = 60.0, 3000.0
STEERS = ("Cc", "Cs", "Cn")
TURNS = {"LRE", "RLE", "PDF", "LRO", "RLO", "LRI", "RLI", "FSI", "PDI"}


@dataclass(frozen=True)
class Answer:
    """What came back.

    Parameters
    ----------
    code, out, err : exit code, and what stood on the screen.
    seconds, peak_mb : what it took.
    left : files that were not there before.
    """

    code: int
    out: str
    err: str
    seconds: float
    peak_mb: float
    left: tuple[str, ...]


def answer_of(attempt: Attempt, folder: Path) -> Answer:
    """Make an attempt in this process, in a folder with a sound trip."""
    attempt.spoil(folder)
    before = {path.name for path in folder.iterdir()}
    out, err, code = io.StringIO(), io.StringIO(), 0
    began = time.monotonic()
    with contextlib.chdir(folder), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main(list(attempt.words))
        except SystemExit as end:
            code = int(end.code or 0)
        except BaseException:  # noqa: BLE001 - whatever comes through is what is looked for
            err.write(traceback.format_exc())
            code = 1
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    left = tuple(sorted({path.name for path in folder.iterdir()} - before))
    return Answer(code, out.getvalue(), err.getvalue(), time.monotonic() - began, peak_mb, left)


def faults_of(attempt: Attempt, answer: Answer) -> Iterator[str]:
    """Say what is wrong with an answer."""
    if answer.code not in attempt.codes:
        yield f"exit {answer.code}"
    if "Traceback" in answer.err:
        yield f"traceback: {answer.err.strip().splitlines()[-1][:160]}"
    elif answer.code == 2 and attempt.words[:1] == ("check",) and "To mend first" in answer.out:
        pass  # it lists what is wrong instead of stopping at the first
    elif answer.code == 2 and not any(line.startswith(("hushwalk: ", "Error: ")) for line in answer.err.splitlines()):
        yield "no message"
    said = (answer.out + answer.err).replace("\n", "").replace("\r", "").replace("\x1b[K", "")
    if any(unicodedata.category(sign) in STEERS or unicodedata.bidirectional(sign) in TURNS for sign in said):
        yield "signs that steer a terminal"
    if answer.seconds > MOST_S:
        yield f"{answer.seconds:.0f} s"
    if answer.peak_mb > MOST_MB:
        yield f"{answer.peak_mb:.0f} MB"
    if attempt.words[:1] == ("check",) and answer.left:
        yield f"left behind: {', '.join(answer.left)}"


def forked(attempt: Attempt, country: Path) -> Answer:
    """Make an attempt in a process of its own, stopped when it takes too long."""
    folder = Path(tempfile.mkdtemp(prefix="gallery-"))
    shutil.copytree(country, folder, dirs_exist_ok=True)
    said = folder.with_suffix(".said")
    began = time.monotonic()
    process = os.fork()
    if not process:
        resource.setrlimit(resource.RLIMIT_CPU, (int(2 * MOST_S), int(2 * MOST_S)))
        answer = answer_of(attempt, folder)
        said.write_text(
            repr((answer.code, answer.out[-20000:], answer.err[-20000:], answer.left)), errors="surrogatepass"
        )
        os._exit(0)
    stop = threading.Timer(2 * MOST_S, os.kill, (process, 9))
    stop.start()
    _, status, used = os.wait4(process, 0)
    stop.cancel()
    seconds = time.monotonic() - began
    code, out, err, left = (
        eval(said.read_text(errors="surrogatepass")) if said.exists() and not status else (-status, "", "killed", ())  # noqa: S307
    )
    shutil.rmtree(folder, ignore_errors=True)
    said.unlink(missing_ok=True)
    return Answer(code, out, err, seconds, used.ru_maxrss / 1024, left)


def table(found: list[tuple[Attempt, Answer, list[str]]]) -> Iterator[str]:
    """Lines of the table: a row a class."""
    yield "| class | attempts | failures | slowest [s] | most memory [MB] |"
    yield "|---|---|---|---|---|"
    kinds = list(dict.fromkeys(attempt.kind for attempt, _, _ in found))
    for kind in (*kinds, "all"):
        own = [(answer, faults) for attempt, answer, faults in found if kind in {attempt.kind, "all"}]
        slowest, most = max(a.seconds for a, _ in own), max(a.peak_mb for a, _ in own)
        yield f"| {kind} | {len(own)} | {sum(bool(f) for _, f in own)} | {slowest:.1f} | {most:.0f} |"


def run(workers: int, only: str) -> None:
    """Run all attempts, name the failures and print the table."""
    began = time.monotonic()
    for name in COMMANDS:  # loaded before the first fork
        hushwalk.get_command(None, name)  # type: ignore[arg-type]
    country = Path(tempfile.mkdtemp(prefix="gallery-sound-"))
    make_country(country)
    with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit), contextlib.chdir(country):
        main(["check", "trip.toml"])
    chosen = [attempt for attempt in attempts() if only in attempt.kind]
    found = []
    with ThreadPoolExecutor(workers) as pool:
        for attempt, answer in zip(chosen, pool.map(lambda one: forked(one, country), chosen), strict=True):
            faults = list(faults_of(attempt, answer))
            found.append((attempt, answer, faults))
            if faults:
                said = f"{attempt.kind}: {attempt.name}: {'; '.join(faults)} ({answer.err.strip()[-200:]!r})"
                print(said, file=sys.stderr, flush=True)
    print("\n".join(table(found)))
    print(f"{time.monotonic() - began:.0f} s")
    shutil.rmtree(country)


if __name__ == "__main__":
    run(int(sys.argv[1]) if len(sys.argv) > 1 else 2, sys.argv[2] if len(sys.argv) > 2 else "")

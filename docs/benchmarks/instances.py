"""Readers of public orienteering instances, for the benchmark and the tests.

Solving them is not done here. Traps of the formats: plain files list the start first and the END SECOND and leave the
Euclidean distance unrounded; time-dependent files list the end LAST and divide distances by five; OPLib rounds as
TSPLIB does, and its tour is closed at the depot, whose own score counts.
"""

import csv
from pathlib import Path

import numpy as np
from scipy.sparse import csr_array, eye_array

from hushwalk.planning.model.problem import Problem, orienteering_problem
from hushwalk.types import FloatArray

HOUR_S = 3600.0


def distances(xy: FloatArray) -> FloatArray:
    """Euclidean distances, shape (n, n)."""
    return np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))


def read_plain(path: Path) -> Problem:
    """Read a file of Tsiligirides or Chao: budget and paths, then x, y, score; start first, end second."""
    rows = [line.split() for line in path.read_text().splitlines() if line.strip()]
    table = np.array([[float(v) for v in row[:3]] for row in rows[1:]])
    return orienteering_problem(distances(table[:, :2]), table[:, 2], float(rows[0][0]), 0, 1)


def read_time_dependent(path: Path, categories: Path, speeds: Path) -> Problem:
    """Read a time-dependent instance: hours from 7 to 21, one speed a period and arc category, end last."""
    rows = [line.split() for line in path.read_text().splitlines() if line.strip()]
    table = np.array([[float(v) for v in row[:3]] for row in rows[3:]])
    kind = np.array([[int(v) for v in line.split()] for line in categories.read_text().splitlines() if line.strip()])
    speed = np.array([[float(v) for v in line.split()] for line in speeds.read_text().splitlines() if line.strip()])
    travel = np.array([distances(table[:, :2]) / 5 / speed[kind, k] for k in range(speed.shape[1])]) * HOUR_S
    budget = float(rows[2][1]) * HOUR_S
    return Problem(
        travel_s=travel,
        chance=csr_array(eye_array(len(table), format="csr")),
        weights=table[:, 2],
        start=0,
        end=len(table) - 1,
        earliest_s=7 * HOUR_S,
        latest_s=7 * HOUR_S + budget,
        budget_s=budget,
        period_starts_s=(9 * HOUR_S, 17 * HOUR_S, 19 * HOUR_S),
        passing_factor=1.0,
        step_s=0.0,
    )


def read_oplib(path: Path) -> Problem:
    """Read an OPLib file: TSPLIB keywords, COST_LIMIT, scores, and the depot where the tour begins and ends."""
    head: dict[str, str] = {}
    body: dict[str, list[list[str]]] = {}
    section = ""
    for line in (raw.strip() for raw in path.read_text().splitlines()):
        if line in {"", "EOF"}:
            continue
        word = line.split(":")[0].strip()
        if word.endswith("_SECTION"):
            section, body[word] = word, []
        elif word.replace("_", "").isalpha() and ":" in line:
            head[word] = line.split(":", 1)[1].strip()
        else:
            body[section].append(line.split())
    scores = np.array([float(row[1]) for row in body["NODE_SCORE_SECTION"]])
    depot = int(body["DEPOT_SECTION"][0][0]) - 1 if "DEPOT_SECTION" in body else 0
    times = _tsplib_times(head, body)
    return orienteering_problem(times, scores, float(head["COST_LIMIT"]), depot, depot)


def _tsplib_times(head: dict[str, str], body: dict[str, list[list[str]]]) -> FloatArray:
    rule = head["EDGE_WEIGHT_TYPE"]
    if rule == "EXPLICIT":
        return _explicit(head["EDGE_WEIGHT_FORMAT"], int(head["DIMENSION"]), body["EDGE_WEIGHT_SECTION"])
    xy = np.array([[float(v) for v in row[1:3]] for row in body["NODE_COORD_SECTION"]])
    far = distances(xy)
    rounded = {
        "EUC_2D": lambda: np.floor(far + 0.5),
        "CEIL_2D": lambda: np.ceil(far),
        "ATT": lambda: np.ceil(far / np.sqrt(10)),
        "GEO": lambda: _geo(xy),
    }
    if rule not in rounded:
        raise SystemExit(f"EDGE_WEIGHT_TYPE {rule} is not known; use one of {', '.join(rounded)} or EXPLICIT")
    times = rounded[rule]()
    np.fill_diagonal(times, 0)
    return times


def _explicit(layout: str, n: int, rows: list[list[str]]) -> FloatArray:
    values, times = np.array([float(v) for row in rows for v in row]), np.zeros((n, n))
    if layout == "FULL_MATRIX":
        return values.reshape(n, n)
    places = {
        "LOWER_DIAG_ROW": np.tril_indices(n),
        "UPPER_DIAG_ROW": np.triu_indices(n),
        "UPPER_ROW": np.triu_indices(n, 1),
        "LOWER_ROW": np.tril_indices(n, -1),
    }
    if layout not in places:
        raise SystemExit(f"EDGE_WEIGHT_FORMAT {layout} is not known; use FULL_MATRIX or one of {', '.join(places)}")
    times[places[layout]] = values
    return np.maximum(times, times.T)


def _geo(xy: FloatArray) -> FloatArray:
    degrees = np.trunc(xy)
    rad = 3.141592 * (degrees + 5 * (xy - degrees) / 3) / 180  # TSPLIB's own pi and its degrees.minutes
    lat, lon = rad.T
    q1 = np.cos(lon[:, None] - lon)
    q2, q3 = np.cos(lat[:, None] - lat), np.cos(lat[:, None] + lat)
    return np.floor(6378.388 * np.arccos(np.clip(0.5 * ((1 + q1) * q2 - (1 - q1) * q3), -1, 1)) + 1)


def read_instance(path: Path) -> Problem:
    """Read an instance by what its name ends with."""
    return read_oplib(path) if path.suffix == ".oplib" else read_plain(path)


def all_instances(folder: Path) -> dict[str, Path]:
    """Name -> file of every plain and OPLib instance below a folder, in order of name."""
    found = {}
    for path in sorted(folder.rglob("*")):
        first = path.read_text(errors="replace").split("\n", 1)[0].split() if path.suffix == ".txt" else []
        plain = len(first) >= 2 and all(word.replace(".", "", 1).isdigit() for word in first[:2])
        if path.suffix == ".oplib" or (plain and not path.name.startswith(("arc_cat", "speed"))):
            found[str(path.relative_to(folder).with_suffix("")).removeprefix("oplib/")] = path
    return found


def read_best(path: Path) -> dict[str, tuple[float, float]]:
    """Name -> (best known score, proven upper bound)."""
    with path.open(newline="") as lines:
        rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    return {row["instance"]: (float(row["best"]), float(row["upper_bound"])) for row in rows}

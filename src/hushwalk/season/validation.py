"""The surface of a trip held against known birds: from a table of places, a layer of points or the field notes.

The statistics are the habitat room's.
"""

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.cluster.hierarchy import fcluster, linkage

from hushwalk.errors import InputError
from hushwalk.files.points_csv import read_points
from hushwalk.grid.systems import carried
from hushwalk.habitat.evidence import Evidence, weigh_evidence
from hushwalk.notes.ledger import read_notes
from hushwalk.notes.notes import LogNote, VisitNote
from hushwalk.site.reading.georeferencing import DEGREES, Georeference
from hushwalk.site.reading.vector_layers import bring_shapes
from hushwalk.site.settings import LayerSettings, TripSettings
from hushwalk.site.site import Site
from hushwalk.types import FloatArray

LOOKED_M = 500.0  # judgement: farther than this from a stop a bird is as likely missed as heard


@dataclass(frozen=True, eq=False)
class Known:
    """Where birds are known, and where somebody looked.

    Parameters
    ----------
    birds_m : shape (n, 2) [m].
    looked_m : shape (k, 2), stops that were listened at; None where that is not known [m].
    notices : what a person should know.
    """

    birds_m: FloatArray = field(repr=False)
    looked_m: FloatArray | None = field(repr=False)
    notices: tuple[str, ...] = ()


def evidence_against(settings: TripSettings, site: Site, path: Path) -> tuple[Evidence, tuple[str, ...]]:
    """Hold the surface of a trip against known birds.

    Parameters
    ----------
    settings, site : of the trip.
    path : ``.csv`` with longitude and latitude, the ledger of field notes, or a layer of points.

    Returns
    -------
    tuple
        Evidence, and notices.

    Raises
    ------
    MissingFileError, InputError
        If the file cannot be used, or no bird lies on known ground of the trip.
    """
    where = Georeference(site.grid, Path.cwd(), network=False)
    known = known_birds(path, where)
    surface, males = site.habitat.suitability, site.density
    at_birds = surface.at(known.birds_m)
    on_ground = np.isfinite(at_birds)
    if not on_ground.any():
        raise InputError(
            f"{path}: none of its {len(at_birds)} points lies on known ground of the trip; is it another place?"
        )
    notices = list(known.notices)
    if not on_ground.all():
        notices.append(f"{np.count_nonzero(~on_ground)} points lie off the known ground of the trip and were left out")
    looked = surface.known if known.looked_m is None else surface.known & _near(site, known.looked_m)
    if known.looked_m is None:
        notices.append(
            "where nobody looked counts as ground without birds; give the ledger of your notes, and only the ground "
            "near your stops is weighed"
        )
    groups = same_bird(known.birds_m[on_ground], site.card["territory"]["search_radius_m"])
    weighed = weigh_evidence(
        at_birds[on_ground],
        groups,
        surface.values[looked],
        np.nan_to_num(males.values[looked]),
        np.random.default_rng(settings.seed),
    )
    return weighed, tuple(notices)


def known_birds(path: Path, where: Georeference) -> Known:
    """Read where birds are known.

    Raises
    ------
    MissingFileError, InputError
        If the file cannot be used.
    """
    if path.suffix.lower() in {".csv", ".txt", ".tsv"}:
        lonlat = np.array(read_points(path), dtype=float).reshape(-1, 2)
        return Known(carried(lonlat, where.way_from(DEGREES)), None)
    notes = _from_notes(path, where)
    if notes is not None:
        return notes
    spec = LayerSettings(kind="closed", path=str(path.resolve()))
    got = bring_shapes(spec, "points", where, "point")
    return Known(np.array([(shape.x, shape.y) for shape, _ in got.shapes]).reshape(-1, 2), None, got.notices)


def _from_notes(path: Path, where: Georeference) -> Known | None:
    """Used logs and listened stops of a ledger; None if the file is none."""
    if path.suffix.lower() != ".gpkg":
        return None
    try:
        logs = [kept.note for kept in read_notes(path, "log")]
        visits = [kept.note for kept in read_notes(path, "visit")]
    except InputError:
        return None
    used = [log.place for log in logs if isinstance(log, LogNote) and log.droppings != "none"]
    stops = [visit.place for visit in visits if isinstance(visit, VisitNote)]
    if not used:
        raise InputError(f"{path} holds no log with droppings yet; birds are known by their logs")
    way = where.way_from(DEGREES)
    looked = carried(np.array(stops, dtype=float), way) if stops else None
    notices = (f"{len(used)} used logs and {len(stops)} visits were read from the notes",)
    return Known(carried(np.array(used, dtype=float), way), looked, notices)


def same_bird(xy_m: FloatArray, radius_m: float) -> NDArray[np.int64]:
    """Number points so that those nearer than a radius to each other, one after the other, count as one bird."""
    if len(xy_m) == 1:
        return np.zeros(1, dtype=np.int64)
    return np.asarray(fcluster(linkage(xy_m, "single"), radius_m, "distance"), dtype=np.int64)


def _near(site: Site, stops_m: FloatArray) -> NDArray[np.bool_]:
    rows, cols = np.indices(site.grid.shape).reshape(2, -1)
    cells = site.grid.xy(rows, cols)
    near = np.zeros(len(cells), dtype=bool)
    for stop in stops_m:
        near |= np.hypot(*(cells - stop).T) <= LOOKED_M
    if not near.any():
        raise InputError("no stop of the notes lies on the ground of the trip; are they notes of another trip?")
    return near.reshape(site.grid.shape)

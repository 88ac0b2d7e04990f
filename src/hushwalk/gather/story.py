"""Gathers the layers of some ground: asks the services kind by kind, writes files, and says what came of each.

No failure of one layer stops the others. The trip file is trip_files.py's business, the sentences are wording's.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from hushwalk.errors import InputError, NothingThereError, OutputError, ServiceError, SettingsError
from hushwalk.files.vectors import Shapes
from hushwalk.gather.cog_windows import read_tiles
from hushwalk.gather.extract import read_extract
from hushwalk.gather.feature_service import read_features_of
from hushwalk.gather.image_service import read_rectangle
from hushwalk.gather.layer_files import sha256_of, write_shapes
from hushwalk.gather.map_kinds import of_the_map
from hushwalk.gather.overpass import read_map
from hushwalk.gather.raster_cells import cleaned, together, valid_share, write_cells
from hushwalk.gather.services import Service, defaults, service
from hushwalk.gather.square import region_of, size_km
from hushwalk.gather.transport import MEGABYTE, AskParams, Question, Transport, kept_folder
from hushwalk.grid.systems import Box
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.manifest import LayerSource, read_manifest, write_manifest

REGION_CELL_M = 30.0  # judgement: as fine as a region is scored
REGION_FROM_KM = 30.0  # judgement: beyond this the open map database asks to take an extract
OSM = "osm"


@dataclass(frozen=True)
class GatherParams:
    """What is gathered, and how.

    Parameters
    ----------
    ask : how services are asked.
    refresh : kinds of layer, or keys of services, that are asked for anew; ``"all"`` for every one.
    only : kinds of layer that are gathered; all if empty.
    """

    ask: AskParams = field(default_factory=AskParams)
    refresh: tuple[str, ...] = ()
    only: tuple[str, ...] = ()


@dataclass(frozen=True)
class Gathered:
    """What came of it: the ground, its region of the defaults, and one entry a layer, in the order of the defaults."""

    folder: Path
    box: Box
    region: str
    layers: tuple[LayerSource, ...]


@dataclass(frozen=True)
class _Errand:
    """What every question needs."""

    folder: Path
    box: Box
    transport: Transport
    params: GatherParams
    progress: Progress
    maps: dict[str, tuple[Shapes, str, tuple[Question, ...]]] = field(default_factory=dict)

    @property
    def wide(self) -> bool:
        return max(size_km(self.box)) > REGION_FROM_KM


def gather(folder: Path, box: Box, params: GatherParams | None = None, progress: Progress = quiet) -> Gathered:
    """Gather every layer of some ground.

    Parameters
    ----------
    folder : where the layers go; what is whole in it already is not asked for again.
    box : limits [deg].
    params : what is gathered, and how.
    progress : is called as each step begins.

    Returns
    -------
    Gathered
        The manifest of it stands in the folder.

    Raises
    ------
    OutputError
        If the folder cannot be written.
    """
    params = params or GatherParams()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise OutputError(f"{folder} cannot be made: {fault.strerror}") from None
    region = region_of(box)
    errand = _Errand(folder, box, Transport(kept_folder(), params.ask), params, progress)
    rows = _wanted(region, params)
    held = _held(folder)
    found: list[LayerSource] = []
    for number, (kind, choices) in enumerate(rows.items()):
        progress(Step(f"gathering {kind.replace('_', ' ')}", _so_far(errand), number / len(rows)))
        found += _layer(kind, choices, errand, held)
        # what was gathered stands in the manifest at once, so that a run that is stopped loses nothing
        write_manifest(folder, _with_rest(found, held, rows), (box.west, box.south, box.east, box.north))
    return Gathered(folder, box, region, tuple(found))


def _wanted(region: str, params: GatherParams) -> Mapping[str, tuple[tuple[str, ...], ...]]:
    rows = defaults(region)
    unknown = [kind for kind in params.only if kind not in rows]
    if unknown:
        raise SettingsError(f"no layer {', '.join(unknown)} is gathered here; there are {', '.join(rows)}")
    return {kind: choices for kind, choices in rows.items() if not params.only or kind in params.only}


def _held(folder: Path) -> tuple[LayerSource, ...]:
    try:
        return read_manifest(folder)
    except InputError:  # a damaged manifest is written anew
        return ()


def _with_rest(
    found: Sequence[LayerSource], held: Sequence[LayerSource], rows: Mapping[str, object]
) -> tuple[LayerSource, ...]:
    """Keep what an earlier run got of other kinds."""
    done = {one.kind for one in found}
    return (*found, *(one for one in held if one.kind not in done or (one.kind not in rows and one.is_there)))


def _so_far(errand: _Errand) -> str:
    return f"({errand.transport.n_bytes / MEGABYTE:.1f} MB so far)" if errand.transport.n_bytes else ""


def _layer(
    kind: str, choices: Sequence[Sequence[str]], errand: _Errand, held: Sequence[LayerSource]
) -> list[LayerSource]:
    """Take the first choice that gives the layer; services of one choice belong together."""
    tried: list[LayerSource] = []
    kept: list[LayerSource] = []
    for choice in choices:
        found = [_one(kind, _service_for(key, errand), errand, held) for key in choice]
        there = _usable(kind, found)
        if there and not any(_poor(one) for one in found):
            kept = found
            break
        if there and not kept:
            kept = found
        tried += found
    kept = kept or [_least_bad(tried)]
    others = tuple(f"{one.label}: {_why(one)}" for one in tried if one not in kept)
    return [replace(one, tried=others) for one in kept]


def _usable(kind: str, found: Sequence[LayerSource]) -> bool:
    """Whether a choice gives the layer: of land cover the first must be there, which the others refine."""
    return found[0].is_there if kind == "cover" else any(one.is_there for one in found)


def _least_bad(tried: Sequence[LayerSource]) -> LayerSource:
    """What stands for a layer that nobody gave: a service that failed may give it on another day."""
    return next((one for one in tried if one.state == "failed"), tried[-1])


def _why(one: LayerSource) -> str:
    return f"only {one.valid_share:.0%} of its cells are known" if _poor(one) else one.reason or one.state


def _service_for(key: str, errand: _Errand) -> Service:
    """Take the extract of the open map database where the ground is too wide to ask for it directly."""
    return service("osm_extract" if key == OSM and errand.wide else key)


def _poor(one: LayerSource) -> bool:
    """Whether too few cells are known, so that another service is worth asking."""
    least = service(one.service).least_valid
    return one.is_there and one.valid_share is not None and one.valid_share < least


def _one(kind: str, one: Service, errand: _Errand, held: Sequence[LayerSource]) -> LayerSource:
    old = next((row for row in held if (row.kind, row.service, row.edition) == (kind, one.key, one.edition)), None)
    anew = bool({kind, one.key, "all"} & set(errand.params.refresh))
    if old is not None and not anew and _still_whole(old, errand):
        return old
    transport = errand.transport
    transport.refresh, transport.questions = anew, []
    start = LayerSource(
        kind=kind,
        state="got",
        service=one.key,
        label=one.label,
        edition=one.edition,
        data_date=one.data_date,
        licence=one.licence,
        licence_link=one.licence_link,
        credit=one.credit,
        note=one.note,
        where=one.where,
    )
    try:
        made = _raster(start, one, errand) if one.family in {"cog", "image"} else _vector(start, one, errand)
    except NothingThereError as fault:
        made = replace(start, state="absent", reason=str(fault))
    except ServiceError as fault:
        made = replace(start, state="failed", reason=str(fault))
    questions = transport.questions
    first = min((at for at, _ in questions), default="")
    return replace(made, fetched_at=first, addresses=tuple(dict.fromkeys(full for _, full in questions)))


def _still_whole(old: LayerSource, errand: _Errand) -> bool:
    """Whether a file of an earlier run is there as it was written, and of the same ground."""
    path = errand.folder / old.file
    same = old.changes.endswith(_clip_words(errand.box))
    return (
        old.is_there
        and same
        and path.is_file()
        and path.stat().st_size == old.n_bytes
        and sha256_of(path) == old.sha256
    )


def _clip_words(box: Box) -> str:
    return f"clipped to {box.west:.4f}, {box.south:.4f}, {box.east:.4f}, {box.north:.4f}"


def _raster(start: LayerSource, one: Service, errand: _Errand) -> LayerSource:
    cell_m = max(REGION_CELL_M, one.cell_m) if errand.wide else None
    absent: list[str] = []
    if one.family == "cog":
        parts, absent = read_tiles(one, errand.box, errand.transport, errand.progress, cell_m)
    else:
        parts = read_rectangle(one, errand.box, errand.transport, errand.progress, cell_m)
    cells = cleaned(together(parts, one, errand.box), one)
    share = valid_share(cells)
    if share == 0.0:
        if one.kind == "stand_age":
            raise NothingThereError(f"{one.label} records no loss on this ground")
        raise NothingThereError(f"{one.label} knows no cell of this ground")
    path = errand.folder / f"{start.kind}_{one.key}.tif"
    done = ["averaged to larger cells"] if one.averaged or cell_m else []
    done += [f"{one.plus} added to every value"] if one.plus else []
    done += ["put together from several files"] if len(parts) > 1 else []
    done += ["some files are not there (as at sea): " + ", ".join(absent)] if absent else []
    changes = "; ".join([*done, _clip_words(errand.box)])
    tags = {"source": one.label, "licence": one.licence, "credit": one.credit, "changes": changes}
    write_cells(cells, path, tags)
    partly = bool(absent) and one.kind != "stand_age"
    return replace(
        start,
        state="partly" if partly else "got",
        reason=f"{len(absent)} of its files are not there, as at sea" if partly else "",
        file=path.name,
        n_bytes=path.stat().st_size,
        sha256=sha256_of(path),
        crs=cells.crs.to_string(),
        cell_m=cell_m or one.cell_m,
        nodata=None if cells.nodata is None or cells.nodata != cells.nodata else cells.nodata,
        legend=one.legend,
        unit=one.unit,
        valid_share=round(share, 4),
        changes=changes,
    )


def _vector(start: LayerSource, one: Service, errand: _Errand) -> LayerSource:
    if one.kind == OSM:
        shapes, date = _map_shapes(one, errand)
        shapes = of_the_map(shapes, start.kind)
        done = "chosen by its tags"
    else:
        shapes, date = read_features_of(one, errand.box, errand.transport, errand.progress), ""
        done = "fields chosen"
    n = len(shapes.geometries)
    if not n:
        raise NothingThereError(f"{one.label} shows nothing of this kind on this ground")
    path = errand.folder / f"{start.kind}_{one.key}.gpkg"
    write_shapes({start.kind: shapes}, path, one)
    return replace(
        start,
        data_date=date or start.data_date,
        file=path.name,
        layer=start.kind,
        n_bytes=path.stat().st_size,
        sha256=sha256_of(path),
        crs="EPSG:4326",
        n_features=n,
        changes=f"{done}; repaired where invalid; {_clip_words(errand.box)}",
    )


def _map_shapes(one: Service, errand: _Errand) -> tuple[Shapes, str]:
    """Ask the open map database once for all kinds of layer."""
    read: Callable[..., tuple[Shapes, str]] = read_extract if one.family == "extract" else read_map
    transport = errand.transport
    if one.key not in errand.maps:
        shapes, date = read(one, errand.box, transport, errand.progress)
        errand.maps[one.key] = (shapes, date, tuple(transport.questions))
    shapes, date, questions = errand.maps[one.key]
    transport.questions = list(questions)
    return shapes, date

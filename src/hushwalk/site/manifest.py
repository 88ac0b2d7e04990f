"""Where the layers of a folder come from: sources.json, written by `hushwalk gather`, read by everything that credits.

Asking the services is the business of the room gather.
"""

import json
import os
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any, Literal

from hushwalk.errors import InputError, OutputError
from hushwalk.site.settings import LayerSettings

MANIFEST = "sources.json"
SCHEMA = "hushwalk sources 1"
LayerOutcome = Literal["got", "partly", "absent", "failed"]


@dataclass(frozen=True)
class Credit:
    """What must be said of data that something is made of: the product, the sentence of credit, and its terms."""

    label: str
    sentence: str
    licence: str
    licence_link: str


@dataclass(frozen=True)
class LayerSource:
    """One layer that was gathered, or could not be.

    Parameters
    ----------
    kind : of layer.
    state : whether it is there, in part, nowhere to be had, or failed.
    reason : why it is not there in full; empty if it is.
    tried : other services that were tried before, each with what it said.
    file, layer : the file from the folder of the manifest, and the table in it; empty where there is none.
    service, label : the service's key, and as people know it.
    edition, data_date : which edition was asked for, and of when its data are; empty if unknown.
    addresses : that were asked, in order.
    fetched_at : when, in UTC.
    n_bytes, sha256 : of the file.
    crs, cell_m, nodata, legend, unit : of a raster.
    valid_share : of cells that are known, 0..1.
    n_features : of lines and areas.
    where : filter for the trip file; empty if none.
    licence, licence_link, credit : terms, and the sentence that must go with what is made of it.
    changes : what was done to the data.
    note : what a person should know of the service.
    """

    kind: str
    state: LayerOutcome
    reason: str = ""
    tried: tuple[str, ...] = ()
    file: str = ""
    layer: str = ""
    service: str = ""
    label: str = ""
    edition: str = ""
    data_date: str = ""
    addresses: tuple[str, ...] = ()
    fetched_at: str = ""
    n_bytes: int = 0
    sha256: str = ""
    crs: str = ""
    cell_m: float | None = None
    nodata: float | None = None
    legend: str = ""
    unit: str = ""
    valid_share: float | None = None
    n_features: int | None = None
    where: str = ""
    licence: str = ""
    licence_link: str = ""
    credit: str = ""
    changes: str = ""
    note: str = ""

    @property
    def is_there(self) -> bool:
        """Whether there is a file of it."""
        return self.state in {"got", "partly"} and bool(self.file)


def write_manifest(folder: Path, layers: Iterable[LayerSource], bounds: Sequence[float]) -> Path:
    """Write sources.json, whole or not at all.

    Parameters
    ----------
    folder : of the layers.
    layers : one entry a layer.
    bounds : west, south, east, north of the ground [deg].

    Returns
    -------
    Path

    Raises
    ------
    OutputError
        If it cannot be written.
    """
    rows = [{name: value for name, value in asdict(one).items() if value not in ("", None, ())} for one in layers]
    words = {"schema": SCHEMA, "bounds": list(bounds), "layers": rows}
    path = folder / MANIFEST
    part = path.with_name(f"{MANIFEST}.part")
    try:
        part.write_text(json.dumps(words, indent=1, ensure_ascii=False, allow_nan=False) + "\n", encoding="utf-8")
        os.replace(part, path)  # noqa: PTH105 - over a file that is there, on every system
    except OSError as fault:
        raise OutputError(f"{path} cannot be written: {fault.strerror}") from None
    return path


def read_manifest(folder: Path) -> tuple[LayerSource, ...]:
    """Read the sources.json of a folder; nothing where there is none.

    Raises
    ------
    InputError
        If there is one that cannot be read.
    """
    path = folder / MANIFEST
    try:
        words = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return ()
    except (OSError, ValueError, RecursionError) as fault:
        raise InputError(f"{path} cannot be read ({fault}); gather again, or take it away") from None
    if not isinstance(words, dict) or words.get("schema") != SCHEMA:
        raise InputError(f"{path} is no list of sources of gathered layers; take it away, or gather again")
    try:
        return tuple(_layer(row) for row in words["layers"])
    except (KeyError, TypeError, AttributeError) as fault:
        raise InputError(f"{path} is damaged ({type(fault).__name__}: {fault}); gather again") from None


def credits_of(folder: Path, layers: Iterable[LayerSettings]) -> tuple[Credit, ...]:
    """Give what must be credited on everything made of these layers, each once.

    Parameters
    ----------
    folder : where their paths start.
    layers : of a trip or an area file.

    Returns
    -------
    tuple of Credit
        None for layers that a person brought along: their credit is that person's to write.

    Raises
    ------
    InputError
        If a sources.json cannot be read.
    """
    files = dict.fromkeys((folder / spec.path.partition("!")[0]).expanduser().resolve() for spec in layers)
    held = {parent: read_manifest(parent) for parent in dict.fromkeys(file.parent for file in files)}
    used = (one for file in files for one in held[file.parent] if one.is_there and one.file == file.name)
    return tuple(dict.fromkeys(Credit(one.label, one.credit, one.licence, one.licence_link) for one in used))


def _layer(row: dict[str, Any]) -> LayerSource:
    known = {item.name for item in fields(LayerSource)}
    values: dict[str, Any] = {name: tuple(v) if isinstance(v, list) else v for name, v in row.items() if name in known}
    return LayerSource(**values)

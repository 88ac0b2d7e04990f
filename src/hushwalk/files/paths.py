"""From the path a person writes to the address a raster or vector library opens, or one clear refusal.

What is inside the file is read in rasters.py and vectors.py.
"""

import difflib
import os
import re
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from hushwalk.errors import InputError, MissingFileError
from hushwalk.text import one_line

RASTER_ENDINGS = (".tif", ".tiff", ".img", ".asc", ".bil", ".flt", ".hgt", ".dem", ".jp2", ".nc", ".vrt", ".lcp")
EXTRACT_ENDINGS = (".osm", ".pbf")
"""Files that hold everything that was mapped of a country, whatever its kind."""

VECTOR_ENDINGS = (
    *(".gpkg", ".shp", ".geojson", ".json", ".fgb", ".kml", ".kmz", ".gml", ".gpx", ".sqlite"),
    *EXTRACT_ENDINGS,
)
MOST_UNPACKED_BYTES = 1_000_000_000  # judgement: read from an archive, more takes minutes; a bomb unpacks to more

SIDECARS = (".shx", ".dbf", ".prj", ".cpg", ".qix", ".sbn", ".sbx", ".aux.xml", ".tfw", ".ovr")
"""Files that only make sense beside another one."""

_REMOTE = re.compile(
    r"^(https?|ftp|s3|gs|az|adls|oss|swift|hdfs|webhdfs)://|^(zip|tar|gzip)\+|/vsi(curl|s3|gs|az|adls|oss|swift|hdfs|webhdfs)"
)


@dataclass(frozen=True)
class Address:
    """Where a layer is.

    Parameters
    ----------
    opens : what the library opens.
    shown : how the file is named to the person.
    remote : whether it lies on the network.
    """

    opens: str
    shown: str
    remote: bool = False


def is_extract(address: Address) -> bool:
    """Whether a file holds everything that was mapped, so that things of a kind must be picked from it."""
    return address.opens.lower().endswith(EXTRACT_ENDINGS)


def find(path: str, folder: Path, label: str, endings: Sequence[str], *, network: bool = False) -> Address:
    """Find the file that a path means.

    Parameters
    ----------
    path : a file, a folder (some formats are folders), ``"archive.zip"``, ``"archive.zip!inner.tif"`` or an address
        on the network.
    folder : where relative paths start.
    label : how to name the layer in an error, such as ``"layer cover"``.
    endings : what to look for inside an archive.
    network : whether addresses on the network may be used.

    Returns
    -------
    Address
        What the library opens, and how to show it.

    Raises
    ------
    MissingFileError
        If there is no such file; the message gives the nearest names in the folder.
    InputError
        If the file is empty, lies on the network although that is not allowed, or an archive holds no single layer.
    """
    if _REMOTE.search(path):
        if not network:
            raise InputError(
                f"{label}: {path} lies on the network; set ground.network = true to allow that, or download the file"
            )
        return Address(f"/vsicurl/{path}" if re.match(r"https?://", path) else path, path, remote=True)
    outer, _, inner = path.partition("!")
    full = (folder / outer).expanduser()
    if not _exists(full, label):
        raise MissingFileError(f"{label}: there is no file {full}{_nearest(full)}{_subdataset_hint(path)}")
    _check_plain(full, label)
    if full.suffix.lower() == ".zip":
        return _inside(full, inner, label, endings)
    if inner:
        raise InputError(f"{label}: {outer} is no .zip archive, so nothing can be picked from it with '!'")
    return Address(str(full), str(full))


def _exists(full: Path, label: str) -> bool:
    try:
        if "\0" not in str(full):
            return full.exists()
    except OSError:  # longer than any name may be
        pass
    raise InputError(f"{label}: {one_line(str(full), 60)!r} cannot be the name of a file; write another")


def _check_plain(full: Path, label: str) -> None:
    """Refuse what is neither a file nor a folder, may not be read, or holds nothing."""
    if not (full.is_file() or full.is_dir()):
        raise InputError(f"{label}: {full} is no plain file but a pipe or a device; copy what it gives into a file")
    if not os.access(full, os.R_OK):
        raise InputError(f"{label}: {full} may not be read by you; give yourself the right to read it, or copy it")
    if full.is_file() and full.stat().st_size == 0:
        raise InputError(f"{label}: {full} is empty (0 bytes); download it again")


def _inside(archive: Path, inner: str, label: str, endings: Sequence[str]) -> Address:
    try:
        with zipfile.ZipFile(archive) as opened:
            sizes = {one.filename: one.file_size for one in opened.infolist()}
            names = [name for name in sizes if not name.endswith("/") and "__MACOSX" not in name]
    except zipfile.BadZipFile:
        raise InputError(f"{label}: {archive} is no readable zip archive; download it again") from None
    if inner:
        if inner not in names and not any(name.startswith(f"{inner.rstrip('/')}/") for name in names):
            raise MissingFileError(f"{label}: {archive} holds no {inner!r}; it holds {_listed(names)}")
        return _within_size(archive, inner, sizes, label)
    fitting = [name for name in names if PurePosixPath(name).suffix.lower() in endings]
    geodatabases = sorted({name.split(".gdb/")[0] + ".gdb" for name in names if ".gdb/" in name})
    fitting = fitting or (geodatabases if ".shp" in endings else [])
    if len(fitting) != 1:
        content = f"several layers, {_listed(fitting)}" if fitting else f"no layer of this kind, only {_listed(names)}"
        raise InputError(f'{label}: {archive} holds {content}; pick one with path = "{archive.name}!NAME"')
    return _within_size(archive, fitting[0], sizes, label)


def _within_size(archive: Path, chosen: str, sizes: Mapping[str, int], label: str) -> Address:
    """Address of a layer in an archive; refused where it unpacks to more than is read from one."""
    stem = chosen.rstrip("/").rpartition(".")[0]
    unpacked = sum(size for name, size in sizes.items() if name.startswith((f"{stem}.", f"{chosen.rstrip('/')}/")))
    if unpacked > MOST_UNPACKED_BYTES:
        raise InputError(
            f"{label}: {archive}!{chosen} unpacks to {unpacked / 1e9:.1f} GB, more than the "
            f"{MOST_UNPACKED_BYTES / 1e9:.0f} GB that are read from an archive; unpack it and name the file itself"
        )
    return Address(f"/vsizip/{archive}/{chosen}", f"{archive}!{chosen}")


def _nearest(full: Path) -> str:
    if not full.parent.is_dir():
        return f"; there is no folder {full.parent}"
    names = sorted(p.name for p in full.parent.iterdir() if not p.name.lower().endswith(SIDECARS))
    close = difflib.get_close_matches(full.name, names, n=3, cutoff=0.5)
    if not close:
        close = [name for name in names if Path(name).suffix.lower() == full.suffix.lower()][:3]
    return f"; the nearest names there are {_listed(close)}" if close else f"; the folder holds {_listed(names)}"


def _subdataset_hint(path: str) -> str:
    if parts := re.fullmatch(r"\w{3,}:\"?(.+?)\"?:([^:]+)", path):
        return f"; for one variable of a file write path = {parts[1]!r} and layer = {parts[2]!r}"
    return ""


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:6])
    return f"{shown} and {len(names) - 6} more" if len(names) > 6 else shown or "nothing"  # noqa: PLR2004

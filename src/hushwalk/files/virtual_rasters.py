"""Checks what a virtual raster draws on: plain files that are there, and these checked in their turn.

Opening them is rasters.py's business.
"""

import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from xml.etree.ElementTree import Element, ParseError

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import fromstring

from hushwalk.errors import InputError

MOST_BYTES = 50_000_000  # judgement: a list of 100,000 tiles; more is no list of sources
MOST_DEEP = 5  # judgement: a mosaic of mosaics of reprojected tiles needs three
HEAD_BYTES = 4096  # judgement: enough to see what a file begins with
ZIP = "/vsizip/"

_MARKUP = re.compile(rb"^(?:\xef\xbb\xbf)?\s*[<{]")
_VIRTUAL = re.compile(rb"^(?:\xef\xbb\xbf)?\s*(?:<\?.*?\?>\s*|<!--.*?-->\s*)*<VRTDataset", re.IGNORECASE | re.DOTALL)
_ELSEWHERE = re.compile(r"://|/vsi(?!zip/)|^\s*[<{]")
_SUBDATASET = re.compile(r'^(?:NETCDF|HDF5|GPKG):"?(?P<file>[^"]+?)"?(?::[^":]*)?$', re.IGNORECASE)
_SAYS_ONLY = frozenset({"srs", "metadata", "description", "categorynames", "gdalrasterattributetable", "gcplist"})
"""Parts that say what the raster is and draw on nothing."""

_SOURCES = frozenset({"sourcefilename", "sourcedataset"})


def check_sources(opens: str, label: str, shown: str) -> None:
    """Refuse a virtual raster that draws on anything but plain files; other files pass unread.

    Parameters
    ----------
    opens : what the library would open.
    label, shown : how to name the layer and its file in an error.

    Raises
    ------
    InputError
        If it names the network, a service, or a file that is not there, itself or through other virtual rasters.
    """
    _check(opens, f"{label}: {shown}", set(), 0)


def _check(opens: str, head: str, seen: set[str], deep: int) -> None:
    begins = _begins(opens)
    if opens in seen or begins is None or not _VIRTUAL.match(begins):
        return
    seen.add(opens)
    if deep > MOST_DEEP:
        raise InputError(f"{head} draws on a file that draws on a file, {MOST_DEEP} times over; use plain files")
    for source in _sources_of(_tree(opens, head), opens, head):
        begins = _begins(source)
        if begins is None:
            raise InputError(f"{head} draws on {source}, which is no file here; use plain files")
        if _MARKUP.match(begins) and not _VIRTUAL.match(begins):
            raise InputError(f"{head} draws on {source}, which only names a service; use plain files")
        _check(source, head, seen, deep + 1)


def _tree(opens: str, head: str) -> Element:
    content = _bytes(opens, MOST_BYTES + 1) or b""
    if len(content) > MOST_BYTES:
        raise InputError(f"{head} is a virtual raster of over {MOST_BYTES // 10**6} MB; make a GeoTIFF of it")
    try:
        tree: Element = fromstring(content, forbid_dtd=True)
    except (ParseError, DefusedXmlException, ValueError, RecursionError) as fault:
        raise InputError(f"{head} is a virtual raster that cannot be read ({fault}); export it again") from None
    return tree


def _sources_of(tree: Element, opens: str, head: str) -> Iterator[str]:
    for node in _parts(tree):
        text = (node.text or "").strip()
        for value in (text, *node.attrib.values()):
            if _ELSEWHERE.search(value):
                raise InputError(
                    f"{head} draws on the network or a service ({value[:60]}); set ground.network = true to allow "
                    "that, or use plain files"
                )
        if node.tag.lower() in _SOURCES:
            relative = node.get("relativeToVRT", node.get("relativetoVRT", "0")).strip() == "1"
            inner = _SUBDATASET.match(text)
            name = inner["file"] if inner else text
            yield f"{opens.rpartition('/')[0]}/{name}" if relative and not name.startswith("/") else name


def _parts(node: Element) -> Iterator[Element]:
    """All parts of a virtual raster that could name a file, however deep."""
    waiting = [node]
    while waiting:
        one = waiting.pop()
        if one.tag.lower() not in _SAYS_ONLY:
            yield one
            waiting.extend(one)


def _begins(opens: str) -> bytes | None:
    """First bytes of a file, none of a folder, None where there is nothing to open."""
    return _bytes(opens, HEAD_BYTES)


def _bytes(opens: str, most: int) -> bytes | None:
    try:
        if opens.startswith(ZIP):
            archive, member = _in_archive(opens.removeprefix(ZIP))
            with zipfile.ZipFile(archive) as zipped, zipped.open(member) as file:
                return file.read(most)
        path = Path(opens)
        if path.is_dir():
            return b""
        if not path.is_file():
            return None
        with path.open("rb") as plain:
            return plain.read(most)
    except (OSError, KeyError, ValueError, zipfile.BadZipFile, RuntimeError, NotImplementedError):
        return None


def _in_archive(path: str) -> tuple[str, str]:
    archive, ending, member = path.partition(".zip/")
    return archive + ending.rstrip("/"), member

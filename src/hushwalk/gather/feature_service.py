"""Asks services of lines and areas page by page, until all that lies on some ground is there.

What the features mean is the business of the readers of layers; how they are written is vector_layers' neighbour
layer_files.py's.
"""

import json
from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

import numpy as np
import shapely

from hushwalk.errors import ServiceError
from hushwalk.files.vectors import Shapes
from hushwalk.gather.services import Service, address
from hushwalk.gather.transport import Transport, quoted
from hushwalk.grid.systems import Box
from hushwalk.progress import Progress, Step

PAGE = 1000  # judgement: features of one answer that every service gives
LEAST_PAGE = 50  # judgement: below this the ground is cut instead
MOST_PAGES = 2000  # judgement: two million features are no square of country
NOTHING = Shapes(np.empty(0, dtype=object), {})


def read_features_of(one: Service, box: Box, transport: Transport, progress: Progress) -> Shapes:
    """Read the features of a service on some ground, in degrees, clipped to it.

    Parameters
    ----------
    one : of the family ``"features"``.
    box : limits [deg].
    transport : asks, and keeps the answers.
    progress : is called before each page.

    Returns
    -------
    Shapes
        Fields as the table names them, whatever a service puts before them or how it writes them.

    Raises
    ------
    ServiceError
        If it cannot be reached, refuses, or gives fewer features than it counts.
    """
    about = _answer(one, transport, "", {"f": "json"})
    most = min(PAGE, int(about.get("maxRecordCount") or PAGE))
    key = str(about.get("objectIdField") or _id_field(about))
    known = [str(field["name"]) for field in about.get("fields") or []]
    wanted = _named(one.fields, known)
    count = int(
        _answer(one, transport, "/query", {**_where(box), "returnCountOnly": "true", "f": "json"}).get("count", -1)
    )
    features: dict[str, Mapping[str, Any]] = {}
    for page in range(MOST_PAGES):
        progress(Step(f"gathering {one.label},", f"{len(features)} of {max(count, 0)} features"))
        answer, most = _page(one, transport, box, key, wanted, len(features), most)
        for feature in answer.get("features") or []:
            features[str(feature.get("id", _property(feature, key) or f"{page}-{len(features)}"))] = feature
        more = answer.get("exceededTransferLimit") or (answer.get("properties") or {}).get("exceededTransferLimit")
        if len(answer.get("features") or []) < most and not more:
            break
    if len(features) < count:
        raise ServiceError(f"{one.label} counts {count} features here and gives {len(features)}")
    return _shapes(list(features.values()), one.fields, box)


def page_names(box: Box, key: str, fields: Sequence[str], first: int, most: int) -> dict[str, str]:
    """Give the words of the address of one page.

    Parameters
    ----------
    box : limits [deg].
    key : name of the field that numbers the features.
    fields : that are wanted.
    first, most : the first feature of the page, and how many.

    Returns
    -------
    dict
        In the order in which they stand.
    """
    return {
        **_where(box),
        "outFields": ",".join(fields) or "*",
        "outSR": "4326",
        "returnGeometry": "true",
        "geometryPrecision": "6",
        "orderByFields": key,
        "resultOffset": str(first),
        "resultRecordCount": str(most),
        "f": "geojson",
    }


def page_address(one: Service, names: Mapping[str, str], path: str = "/query") -> str:
    """Give the address of one question to a service.

    Parameters
    ----------
    one : the service.
    names : words of the question.
    path : what follows the service's own address.

    Returns
    -------
    str
    """
    return address(one.address) + path + "?" + urlencode(names, safe="=,*")


def _page(
    one: Service, transport: Transport, box: Box, key: str, fields: Sequence[str], first: int, most: int
) -> tuple[Mapping[str, Any], int]:
    """Ask for a page; for one of half the size where the service has no time for it."""
    while True:
        try:
            return _answer(one, transport, "/query", page_names(box, key, fields, first, most)), most
        except ServiceError as fault:
            if " 504 " not in str(fault) or most <= LEAST_PAGE:
                raise
            most //= 2


def _answer(one: Service, transport: Transport, path: str, names: Mapping[str, str]) -> Mapping[str, Any]:
    full = page_address(one, names, path)

    def ask() -> bytes:
        content = transport.get(full).content
        _understood(content, one)
        return content

    return _understood(transport.kept(f"{one.key} {full}", ask, one.keep_days), one)


def _understood(content: bytes, one: Service) -> Mapping[str, Any]:
    try:
        answer = json.loads(content)
    except ValueError:
        raise ServiceError(f"{one.label} answers with something else than features: {quoted(content)}") from None
    if not isinstance(answer, dict):
        raise ServiceError(f"{one.label} answers with something else than features")
    if "error" in answer:
        fault = answer["error"]
        said = f"{fault.get('code', '')} {fault.get('message', '')}" if isinstance(fault, dict) else str(fault)
        raise ServiceError(f"{one.label} answers with a fault: {quoted(said)}")
    return answer


def _where(box: Box) -> dict[str, str]:
    return {
        "where": "1=1",
        "geometry": ",".join(f"{value:.4f}" for value in (box.west, box.south, box.east, box.north)),
        "geometryType": "esriGeometryEnvelope",
        "inSR": "4326",
        "spatialRel": "esriSpatialRelIntersects",
    }


def _id_field(about: Mapping[str, Any]) -> str:
    fields = about.get("fields") or []
    return next((str(f["name"]) for f in fields if f.get("type") == "esriFieldTypeOID"), "OBJECTID")


def _named(wanted: Sequence[str], known: Sequence[str]) -> list[str]:
    """Names as the service writes them: in other letters, or with the name of a table before a point."""
    by_last = {name.rpartition(".")[2].lower(): name for name in known}
    return [by_last.get(name.lower(), name) for name in wanted if not known or name.lower() in by_last]


def _property(feature: Mapping[str, Any], name: str) -> Any:  # noqa: ANN401 - whatever the field holds
    found = {key.rpartition(".")[2].lower(): value for key, value in (feature.get("properties") or {}).items()}
    return found.get(name.rpartition(".")[2].lower())


def _shapes(features: Sequence[Mapping[str, Any]], fields: Sequence[str], box: Box) -> Shapes:
    if not features:
        return NOTHING
    drawn = shapely.from_geojson(
        [json.dumps(f.get("geometry") or {"type": "Point", "coordinates": []}) for f in features]
    )
    on_ground = clipped(drawn, box)
    near = ~shapely.is_empty(on_ground)
    columns = {
        name: np.array([_property(feature, name) for feature in features], dtype=object)[near] for name in fields
    }
    return Shapes(on_ground[near], columns)


def clipped(drawn: Any, box: Box) -> Any:  # noqa: ANN401 - arrays of geometries
    """Give shapes without what is wrong with them and what lies beyond some ground."""
    flat = shapely.force_2d(drawn)
    sound = shapely.make_valid(flat)
    return shapely.intersection(sound, shapely.box(box.west, box.south, box.east, box.north))

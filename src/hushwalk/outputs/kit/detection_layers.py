"""What the field notes gave, on the page's map: ground where birds may be, bearings taken, logs, the search.

Ground and walk are drawn by page_layers.py.
"""

from typing import Any

from shapely import LineString

from hushwalk.birds.bird_report import Detections, LocatedBird, ScoredLog
from hushwalk.birds.search.planned_search import Search, SearchLeg
from hushwalk.grid.polyline import rings_area
from hushwalk.outputs.kit.map_layer import MapLayer, Style, area, line
from hushwalk.outputs.kit.palette import COLOURS
from hushwalk.site.country import Geometry
from hushwalk.wording.bird_words import refusal_words, warning_words
from hushwalk.wording.formats import bearing, clock, compass_point, percent
from hushwalk.wording.log_words import log_reasons
from hushwalk.wording.measures import distance, small_area
from hushwalk.wording.search_words import ground_words

WIDTHS = {0.5: 3.0, 0.8: 2.0, 0.95: 1.2}
"""Judgement: the surer the ground, the thinner its line, so that the middle is seen first, in grey too."""
DASHES = {0.5: "", 0.8: "8 4", 0.95: "2 4"}
Shapes = tuple[tuple[Style, tuple[Geometry, ...]], ...]


def detection_layers(detections: Detections) -> tuple[MapLayer, ...]:
    """Give the layers of birds and logs; one that would be empty is left out."""
    layers = []
    if detections.birds:
        lines = tuple(LineString(points) for bird in detections.birds for points in bird.lines)
        layers += [
            MapLayer("birds", "Where birds may be", _grounds(detections)),
            MapLayer("bearings", "Bearings taken", ((line(COLOURS["bird"], 1.4, "1 4"), lines),), shown=False),
        ]
    if detections.logs:
        layers.append(MapLayer("logs", "Logs found", _rays(detections)))
    return tuple(layers)


def search_layers(search: Search) -> tuple[MapLayer, ...]:
    """Give the areas of a search, the lines through them and the way back; ways to areas are drawn like any walk."""
    grounds = tuple(rings_area(leg.rings) for leg in search.legs)
    lines = tuple(LineString(one.line_m) for leg in search.legs for one in leg.passes)
    parts = ((line(COLOURS["casing"], 3.4, opacity=0.8), lines), (line(COLOURS["walk"], 1.4), lines))
    back = (LineString(search.way_back_m),) if len(search.way_back_m) > 1 else ()
    return (
        MapLayer("areas", "Areas to search", ((area(COLOURS["bird"], "url(#ground)", 2.4), grounds),)),
        MapLayer("lines", "Lines to walk", parts),
        MapLayer("back", "Straight back to the car", ((line(COLOURS["way_back"], 2.5, "3 5"), back),)),
    )


def detection_pins(detections: Detections) -> list[dict[str, Any]]:
    """Give a pin for every bird and log, with what is told of it when it is opened."""
    return [*(_bird_pin(bird) for bird in detections.birds), *(_log_pin(log) for log in detections.logs)]


def detection_symbols(detections: Detections) -> list[tuple[Style, str]]:
    """Give the symbols of the key."""
    birds = bird_symbols() if detections.birds else []
    logs = [(line(COLOURS["log"], 2.0), "from a log to where the camera sits")] if detections.logs else []
    return [*birds, *logs]


def bird_symbols() -> list[tuple[Style, str]]:
    """Give the symbols of the ground that holds a bird."""
    return [
        (line(COLOURS["bird"], WIDTHS[share], DASHES[share]), f"a bird is inside with a chance of {percent(share)}")
        for share in WIDTHS
    ]


def bird_rows(bird: LocatedBird) -> list[tuple[str, str]]:
    """Tell one bird, as label and words."""
    words = [(f"{percent(ground.share)} in", small_area(ground.area_ha)) for ground in bird.grounds]
    words.append(("bearings", str(len(bird.lines))))
    words.append(("middle", bird.middle.usng))
    if bird.point is not None:
        words.append(("lines cross at", bird.point.usng))
    if bird.stand is not None:
        facing = f"{compass_point(bird.stand.towards_deg)}, {bearing(bird.stand.towards_magnetic_deg)} compass"
        words += [("next bearing from", bird.stand.place.usng), ("listen towards", facing)]
    return words


def log_rows(log: ScoredLog) -> list[tuple[str, str]]:
    """Tell one log, as label and words."""
    return [
        ("what it is", f"{log.role.value} of male {log.territory}"),
        ("in use", percent(log.use)),
        ("film set", percent(log.film)),
        ("camera", f"in the {compass_point(log.film_from_deg)}"),
        ("place", log.place.usng),
    ]


def leg_rows(leg: SearchLeg) -> list[tuple[str, str]]:
    """Tell one area of a search, as label and words."""
    away = f"{distance(leg.distance_m)}, {leg.minutes:.0f} min"
    return [
        ("arrive", clock(leg.arrive)),
        ("leave at the latest", clock(leg.leave)),
        ("walk there", f"{away}, {compass_point(leg.azimuth_deg)} {bearing(leg.magnetic_deg)} compass"),
        ("ground", ground_words(leg)),
        ("chance to find his log", percent(leg.chance)),
        *([("also looked for", ", ".join(leg.also))] if leg.also else []),
        ("begin at", leg.entry.usng),
    ]


def _bird_pin(bird: LocatedBird) -> dict[str, Any]:
    why = [*([f"No point: {refusal_words(bird.refusal)}"] if bird.refusal else []), *map(warning_words, bird.warnings)]
    return _pin("birds", "bird", bird.name, (bird.middle.lat_deg, bird.middle.lon_deg), bird.name, bird_rows(bird), why)


def _log_pin(log: ScoredLog) -> dict[str, Any]:
    at = (log.place.lat_deg, log.place.lon_deg)
    return _pin("logs", "log", log.name, at, log.name, log_rows(log), log_reasons(log))


def _pin(
    group: str,
    face: str,
    text: str,
    at: tuple[float, float],
    title: str,
    rows: list[tuple[str, str]],
    why: list[str] | tuple[str, ...],
) -> dict[str, Any]:
    return {
        "group": group,
        "face": face,
        "text": text[:8],
        "at": list(at),
        "title": title,
        "rows": [list(row) for row in rows],
        "why": list(why),
    }


def _grounds(detections: Detections) -> Shapes:
    parts: list[tuple[Style, tuple[Geometry, ...]]] = []
    for share in sorted(WIDTHS, reverse=True):
        shapes = tuple(
            rings_area(ground.rings)
            for bird in detections.birds
            for ground in bird.grounds
            if abs(ground.share - share) < 1e-9  # noqa: PLR2004 - the same figure, written twice
        )
        style = line(COLOURS["bird"], WIDTHS[share], DASHES[share])
        parts += [(line(COLOURS["casing"], WIDTHS[share] + 2.4, opacity=0.8), shapes), (style, shapes)]
    return tuple(parts)


def _rays(detections: Detections) -> Shapes:
    rays = tuple(LineString([log.place.xy_m, log.camera_m]) for log in detections.logs)
    return ((line(COLOURS["log"], 2.0), rays),)

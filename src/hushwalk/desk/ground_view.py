"""The ground of a trip as the desk's map draws it: pictures, layers and labels, with the kit of the written page.

The walk on it is walk_view.py's.
"""

from dataclasses import dataclass
from typing import Any

from hushwalk.grid.grid import Grid
from hushwalk.morning.look_round import Morning
from hushwalk.outputs.kit.html_map import pictures_of
from hushwalk.outputs.kit.map_layer import MapLayer
from hushwalk.outputs.kit.page_layers import as_features, ground_layers, height_labels
from hushwalk.outputs.kit.pictures import frame_of
from hushwalk.outputs.walk.walk_page import kinds_shown
from hushwalk.site.country import Country
from hushwalk.site.norths import North, north_of
from hushwalk.site.place import Place
from hushwalk.site.scene import Scene
from hushwalk.wording.measures import unit


@dataclass(frozen=True, eq=False)
class TripScene:
    """The ground of a trip before there is a plan."""

    title: str
    grid: Grid
    car: Place
    north: North
    country: Country


def ground_view(morning: Morning) -> dict[str, Any]:
    """Give the ground as the page reads it: everything in degrees, pictures as data addresses."""
    site = morning.site
    return scene_view(
        TripScene(morning.settings.place.name, site.grid, site.car, north_of(site, morning.clock), site.country)
    )


def scene_view(scene: TripScene) -> dict[str, Any]:
    """Give the ground of a scene as the page reads it."""
    frame = frame_of(scene.grid)
    west, south, east, north = frame.degrees
    return {
        "title": scene.title,
        "bounds": [[south, west], [north, east]],
        "car": [scene.car.lat_deg, scene.car.lon_deg],
        "pictures": pictures_of(scene, frame),
        "layers": [drawn_layer(scene, layer) for layer in ground_layers(scene)],
        "heights": height_labels(scene),
        "kinds": kinds_shown(scene),
        "height_unit": unit("height")[0],
    }


def drawn_layer(scene: Scene, layer: MapLayer) -> dict[str, Any]:
    """Give one layer of the map as the page reads it: its shapes in degrees, by style."""
    parts = [{"style": style, "shapes": as_features(scene, shapes)} for style, shapes in layer.parts if len(shapes)]
    return {"key": layer.key, "name": layer.name, "shown": layer.shown, "parts": parts}

"""The map page: one file that opens without a signal, with a folium map whose scripts and pictures are all inside.

The words beside the map are filled in by page.py, the layers are drawn by page_layers.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import folium
from branca.element import Element, Figure, MacroElement
from folium.map import CustomPane, FeatureGroup, Layer
from folium.template import Template

from hushwalk.outputs.kit.map_layer import MapLayer, Style
from hushwalk.outputs.kit.page_layers import as_features
from hushwalk.outputs.kit.pictures import Frame, cover_picture, frame_of, relief_picture, suitability_picture
from hushwalk.site.scene import Scene
from hushwalk.wording.measures import units_now

PANES = (("relief", 210), ("cover", 220), ("suitability", 230))
OPACITY = {"relief": 1.0, "cover": 0.9, "suitability": 0.72}


class OfflineMap(folium.Map):
    """A folium map that links to nothing: its scripts and styles stand in the page already."""

    default_js: list[tuple[str, str]] = []  # noqa: RUF012 - shadows folium's own class lists, as folium reads them
    default_css: list[tuple[str, str]] = []  # noqa: RUF012


class ImageLayer(Layer):
    """An image of the page as a layer of the map; the page holds each picture once."""

    _template = Template("""
        {% macro script(this, kwargs) %}
        var {{ this.get_name() }} = L.imageOverlay(
            document.getElementById({{ this.image|tojson }}).src, {{ this.bounds|tojson }},
            {{ this.options|tojavascript }});
        {% endmacro %}""")

    def __init__(self, name: str, image: str, bounds: list[list[float]], *, show: bool) -> None:
        super().__init__(name=name, overlay=True, control=True, show=show)
        self._name = "Picture"
        self.image = image
        self.bounds = bounds
        self.options = {"pane": image, "opacity": OPACITY[image], "interactive": False, "alt": ""}


class Start(MacroElement):
    """Adds the scale bar, and hands the map and the groups that carry symbols to the page's own script."""

    _template = Template("""
        {% macro script(this, kwargs) %}
        L.control.scale({ metric: {{ this.metric|tojson }}, imperial: {{ (not this.metric)|tojson }} })
            .addTo({{ this._parent.get_name() }});
        hushwalk({{ this._parent.get_name() }}, { {%- for key, group in this.groups.items() %}
            {{ key|tojson }}: {{ group.get_name() }},{% endfor %} });
        {% endmacro %}""")

    def __init__(self, groups: dict[str, FeatureGroup]) -> None:
        super().__init__()  # type: ignore[no-untyped-call] # branca gives no types here
        self._name = "Start"
        self.groups = groups
        self.metric = units_now() == "metric"


@dataclass(frozen=True)
class MapParts:
    """A drawn map: its frame, its pictures by key, and what folium made of it."""

    frame: Frame
    pictures: dict[str, str]
    html: str
    script: str


def drawn_map(scene: Scene, layers: Sequence[MapLayer]) -> MapParts:
    """Draw ground and layers with folium; the layers lie over one another in the order given."""
    frame = frame_of(scene.grid)
    pictures = pictures_of(scene, frame)
    root = _map(scene, frame, pictures, layers).get_root()
    if not isinstance(root, Figure):
        raise TypeError("folium hangs a map into a figure")
    _number(root)
    for child in root._children.values():  # noqa: SLF001 - what Figure.render does first
        child.render()
    return MapParts(frame, pictures, root.html.render(), root.script.render())


def pictures_of(scene: Scene, frame: Frame) -> dict[str, str]:
    """Draw relief, suitability and, where it is known, cover as data addresses by key."""
    country = scene.country
    made = {
        "relief": relief_picture(country.elevation, frame),
        "suitability": suitability_picture(country.suitability, frame),
    }
    if country.cover is not None:
        made["cover"] = cover_picture(country.cover, country.kinds, frame)
    return made


def _map(scene: Scene, frame: Frame, pictures: dict[str, str], layers: Sequence[MapLayer]) -> OfflineMap:
    west, south, east, north = frame.degrees
    bounds = [[south, west], [north, east]]
    made = OfflineMap(
        location=[(south + north) / 2, (west + east) / 2],
        tiles=None,
        zoom_start=14,
        min_zoom=10,
        max_zoom=19,
        zoom_snap=0.25,
    )
    for pane, height in PANES:
        made.add_child(CustomPane(pane, z_index=height))
    names = {"relief": "Shape of the land", "cover": "Cover", "suitability": "Suitability for the bird"}
    for key in [key for key in names if key in pictures]:
        made.add_child(ImageLayer(names[key], key, bounds, show=key != "cover"))
    groups = {layer.key: _group(scene, layer) for layer in layers}
    for group in groups.values():
        made.add_child(group)
    made.add_child(folium.LayerControl(collapsed=True))
    made.add_child(Start(groups))
    return made


def _group(scene: Scene, layer: MapLayer) -> FeatureGroup:
    group = FeatureGroup(name=layer.name, show=layer.shown)
    for style, shapes in layer.parts:
        if shapes:
            group.add_child(
                folium.GeoJson(
                    as_features(scene, shapes), style_function=_always(style), control=False, interactive=False
                )
            )
    return group


def _always(style: Style) -> Any:  # noqa: ANN401 - folium takes any function of a feature
    return lambda _: style


def _number(root: Element) -> None:
    """Give every element a running number instead of a random one, so that the same report gives the same page."""
    waiting, number = [root], 0
    while waiting:
        element = waiting.pop(0)
        element._id = f"{number:04d}"  # noqa: SLF001 - branca has no other way
        number += 1
        waiting.extend(element._children.values())  # noqa: SLF001

"""Plots of an opened trip and of a plan with matplotlib, in the palette of page and sheet.

What is drawn for the field is the business of outputs/.
"""

from typing import Any

from shapely import get_coordinates, get_parts

from hushwalk.errors import InputError
from hushwalk.grid.layer import Layer
from hushwalk.grid.polyline import rings_area
from hushwalk.morning.report import Report
from hushwalk.outputs.kit.palette import BANDS, COLOURS
from hushwalk.site.country import Country

INCHES = (8.0, 7.0)  # judgement: fills half a screen
OTHER_COLOURS = "cividis"  # judgement: even steps that colour-blind eyes tell apart, from light to dark


def draw_country(country: Country, title: str, layer: Layer | None = None, ax: Any = None) -> Any:  # noqa: ANN401
    """Draw a layer with streams, water and trails.

    Parameters
    ----------
    country : the ground as drawn.
    title : of the plot.
    layer : to be drawn; the suitability if not given.
    ax : axes to draw on; None for a new figure.

    Returns
    -------
    matplotlib.axes.Axes
        In metres of the grid.

    Raises
    ------
    InputError
        If matplotlib is not installed.
    """
    ax, shown = _axes(ax), layer or country.suitability
    west, south, east, north = shown.grid.bounds
    ours = shown.name == country.suitability.name
    colours = _bands() if ours else OTHER_COLOURS
    limits = {"vmin": BANDS[0].low, "vmax": BANDS[-1].high} if ours else {}
    image = ax.imshow(shown.values, extent=(west, east, south, north), cmap=colours, interpolation="nearest", **limits)
    unit = "" if shown.unit == "1" else f" [{shown.unit}]"
    ax.figure.colorbar(image, ax=ax, label=f"{shown.name}{unit}", shrink=0.8)
    for area in get_parts(country.water):
        ax.fill(*get_coordinates(area.exterior).T, facecolor=COLOURS["water"], edgecolor=COLOURS["stream"])
    for line in get_parts(country.streams):
        _line(ax, line, color=COLOURS["stream"], linewidth=0.8)
    for line in get_parts((*country.trails, *country.roads)):
        _line(ax, line, color=COLOURS["quiet"], linewidth=0.9)
    ax.set(xlim=(west, east), ylim=(south, north), aspect="equal", title=title)
    ax.set(xlabel=f"easting [m], {shown.grid.crs}", ylabel="northing [m]")
    ax.ticklabel_format(style="plain", useOffset=False)
    return ax


def draw_plan(report: Report, ax: Any = None) -> Any:  # noqa: ANN401
    """Draw stops, legs and earshot over the suitability.

    Parameters
    ----------
    report : of the plan.
    ax : axes to draw on; None for a new figure.

    Returns
    -------
    matplotlib.axes.Axes
        In metres of the grid.

    Raises
    ------
    InputError
        If matplotlib is not installed.
    """
    title = f"{report.title}, {report.depart:%d %B %Y}: {report.males.expected:.1f} males expected"
    ax = draw_country(report.country, title, ax=ax)
    for stop in report.stops:
        for part in get_parts([rings_area(stop.earshot)]):
            _line(ax, part, color=COLOURS["earshot"], linewidth=0.8, linestyle="--")
    for leg in report.legs:
        ax.plot(*leg.line_m.T, color=COLOURS["casing"], linewidth=3.6, solid_capstyle="round")
        ax.plot(*leg.line_m.T, color=COLOURS["walk"], linewidth=1.8, solid_capstyle="round")
    ax.plot(*report.car.xy_m, marker="s", color=COLOURS["walk"], markersize=9)
    for stop in report.stops:
        ax.plot(*stop.place.xy_m, "o", color=COLOURS["stop"], markeredgecolor=COLOURS["walk"], markersize=15)
        ax.annotate(str(stop.number), stop.place.xy_m, ha="center", va="center", fontsize=8, fontweight="bold")
    return ax


def _axes(ax: Any) -> Any:  # noqa: ANN401
    if ax is not None:
        return ax
    try:
        from matplotlib import pyplot as plt  # noqa: PLC0415 - an extra
    except ImportError:
        raise InputError("a plot needs matplotlib: pip install 'hushwalk[plot]'") from None
    return plt.subplots(figsize=INCHES, layout="constrained")[1]


def _bands() -> Any:  # noqa: ANN401
    from matplotlib.colors import ListedColormap  # noqa: PLC0415 - an extra

    return ListedColormap([band.colour for band in BANDS], name="suitability")


def _line(ax: Any, shape: Any, **style: Any) -> None:  # noqa: ANN401
    """Draw a line, or every ring of an area."""
    rings = [shape] if shape.geom_type == "LineString" else [shape.exterior, *shape.interiors]
    for ring in rings:
        ax.plot(*get_coordinates(ring).T, **style)

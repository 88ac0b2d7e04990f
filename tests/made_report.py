"""A small morning made by hand: hills from a formula, five stops, invented names. Nothing here is planned.

Loaded by path (see the conftest files), because test folders are no packages.
"""

from datetime import date, datetime, time, timedelta, timezone
from itertools import pairwise

import numpy as np
from shapely.geometry import LineString, Polygon

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import convergence_deg, to_lonlat, to_metres, usng_text, utm_text
from hushwalk.morning import report as r
from hushwalk.morning.plain_walk import PlainWalkKind
from hushwalk.site.cautions import cautions
from hushwalk.site.country import Country, Ingredient
from hushwalk.site.norths import North
from hushwalk.site.place import Place
from hushwalk.site.reading.cover_kinds import cover_kinds
from hushwalk.site.settings import LayerSettings, MorningSettings, PlaceSettings, TripSettings

ZONE = timezone(timedelta(hours=-5), "CDT")
START = datetime(2027, 4, 24, 4, 52, tzinfo=ZONE)
SUNRISE = datetime(2027, 4, 24, 5, 59, tzinfo=ZONE)
NAUGHTY = "Ridge of Ends </script><b onclick=x>`${1}` & Sons"
STEPS = [(0, 0), (330, 260), (260, 700), (-180, 840), (-520, 520), (-330, 90), (0, 0)]


def made_grid(cells: int = 250) -> Grid:
    east, north = to_metres(32615, [-91.7, 47.6])
    west = round((east - cells * 5) / 100) * 100.0
    top = round((north + cells * 5) / 100) * 100.0
    return Grid(32615, west, top, 10.0, cells, cells)


def made_spot(grid: Grid, elevation: Layer, name: str, xy: tuple[float, float]) -> Place:
    lon, lat = to_lonlat(grid.epsg, xy).tolist()
    height = float(elevation.at(np.array(xy))[0])
    return Place(name, xy, lon, lat, height, utm_text(grid.epsg, xy), usng_text((lon, lat)))


def made_layers(grid: Grid) -> dict[str, Layer]:
    rows, cols = np.indices(grid.shape)
    x, y = (cols + 0.5) * 10.0, (grid.n_rows - rows - 0.5) * 10.0
    z = 430 + 38 * np.sin(x / 410) * np.cos(y / 520) + 0.018 * y + 9 * np.sin((x + y) / 150)
    wet = np.exp(-((np.abs(x - 900 - 180 * np.sin(y / 400)) / 160) ** 2))
    conifer = 0.5 + 0.5 * np.sin(x / 260 + 1.3) * np.sin(y / 330)
    edge = np.clip(1 - np.abs(conifer - 0.5) * 2.2, 0, 1)
    kinds = np.select(
        [wet > 0.85, wet > 0.55, conifer > 0.8, conifer > 0.5, conifer > 0.2], [27.0, 25.0, 19.0, 12.0, 14.0], 44.0
    )
    suit = np.clip(0.15 + 0.45 * wet + 0.5 * edge * (kinds != 19), 0, 1)
    suit[:12, :20] = np.nan
    values = {"elevation": z, "wet": wet, "conifer": edge, "cover": kinds, "suitability": suit}
    values["density"] = 7.5 * suit**2
    units = {"elevation": "m", "cover": "class", "density": "1/km2"}
    return {key: Layer(key, units.get(key, "1"), grid, value) for key, value in values.items()}


def made_line(start: tuple[float, float], end: tuple[float, float]) -> np.ndarray:
    share = np.linspace(0, 1, 40)[:, None]
    line = np.array(start) * (1 - share) + np.array(end) * share
    line[1:-1, 0] += 22 * np.sin(share[1:-1, 0] * np.pi * 3)
    return line


def ring(xy: tuple[float, float], radius: float) -> np.ndarray:
    angle = np.linspace(0, 2 * np.pi, 61)
    reach = radius * (1 + 0.25 * np.cos(2 * angle) + 0.1 * np.sin(5 * angle))
    return np.c_[xy[0] + reach * np.cos(angle), xy[1] + reach * np.sin(angle)]


def made_country(layers: dict[str, Layer], grid: Grid, home: np.ndarray) -> Country:
    up = np.linspace(0, grid.n_rows * 10.0, 120)
    stream = np.c_[grid.west_m + 900 + 180 * np.sin(up / 400), grid.bounds[1] + up]
    trail = np.c_[home[0] + 1.1 * (up - 900) * 0.6, home[1] - 40 + 0.35 * np.abs(up - 900)]
    x, y = home
    kinds = {code: (kind.key, kind.label) for code, kind in cover_kinds().items() if code in {12, 14, 19, 25, 27, 44}}
    ingredient = [
        ("riparian", "within reach of streams, ponds and wetlands", "wet", 0.4, "limiting"),
        ("conifer", "share of conifer for shelter", "conifer", 0.35, "compensating"),
    ]
    return Country(
        elevation=layers["elevation"],
        cover=layers["cover"],
        kinds=kinds,
        suitability=layers["suitability"],
        ingredients=tuple(
            Ingredient(key, label, layers[name], weight, role, "judgement: made up", assumed=key == "conifer")
            for key, label, name, weight, role in ingredient
        ),
        density_per_km2=layers["density"],
        good_from=0.35,
        streams=(LineString(stream),),
        water=(Polygon([(x - 760, y + 60), (x - 640, y + 20), (x - 600, y + 150), (x - 720, y + 190)]),),
        wetlands=(Polygon([(x - 640, y + 520), (x - 430, y + 560), (x - 380, y + 760), (x - 600, y + 700)]),),
        trails=(LineString(trail),),
        roads=(LineString([(x - 900, y - 60), (x - 10, y - 25), (x + 900, y - 160)]),),
        closed=(Polygon([(x + 420, y + 420), (x + 800, y + 420), (x + 800, y + 900), (x + 420, y + 900)]),),
    )


def made_stop(number: int, place: Place, arrive: datetime, home_minutes: float) -> r.Stop:
    towards = None if number == 3 else (40.0 + 67 * number) % 360
    return r.Stop(
        number=number,
        place=place,
        arrive=arrive,
        leave=arrive + timedelta(minutes=6),
        chance_any=0.35 + 0.08 * number,
        males_expected=0.9 - 0.1 * number,
        listen_towards_deg=towards,
        listen_towards_magnetic_deg=None if towards is None else (towards + 1.0) % 360,
        earshot_m=210.0 + 12 * number,
        earshot=(ring(place.xy_m, 210.0 + 12 * number),),
        noise=r.Noise(water_dba=34.0 if number == 4 else None),
        reasons=r.StopReasons(0.9 - 0.1 * number, 6.0, 0.9 - 0.1 * number, "aspen", by_trail=False),
        latest_leave=datetime(2027, 4, 24, 8, 0, tzinfo=ZONE) - timedelta(minutes=home_minutes),
        bail_out_minutes=home_minutes,
    )


def made_report(
    *, title: str = "North Spur, Tamar Hollow", scale: tuple[float, float] = (1.0, 1.0), cells: int = 250
) -> r.Report:
    grid = made_grid(cells)
    layers = made_layers(grid)
    home = to_metres(32615, [-91.7, 47.6]).round() + np.array([60.0, -420.0])
    places = [(float(home[0] + dx * scale[0]), float(home[1] + dy * scale[1])) for dx, dy in STEPS]
    names = ["CAR", *(f"P{k:02d}" for k in range(1, len(STEPS) - 1)), "CAR"]
    spots = [made_spot(grid, layers["elevation"], name, xy) for name, xy in zip(names, places, strict=True)]
    now, stops, legs, outs = START, [], [], []
    gamma = float(convergence_deg(grid.epsg, home))
    for k, ((a, b), (xa, xb)) in enumerate(zip(pairwise(names), pairwise(places), strict=True), start=1):
        line = made_line(xa, xb)
        length = float(np.hypot(*np.diff(line, axis=0).T).sum())
        arrive = now + timedelta(seconds=round(length / 0.7))
        bearing = (np.degrees(np.arctan2(xb[0] - xa[0], xb[1] - xa[1])) + gamma) % 360
        legs.append(r.Leg(a, b, line, length, 12.0 + k, 9.0, now, arrive, bearing, (bearing + 1.0) % 360, 0.3, fords=1))
        now = arrive
        if b != "CAR":
            home_m = float(np.hypot(xb[0] - home[0], xb[1] - home[1]))
            stops.append(made_stop(k, spots[k], arrive, home_m / 42))
            outs.append((b, made_line(xb, tuple(home))))
            now = stops[-1].leave
    settings = TripSettings(
        PlaceSettings(title, f"{spots[0].lat_deg}, {spots[0].lon_deg}"),
        MorningSettings(date(2027, 4, 24), time(8, 0), "America/Chicago"),
        (LayerSettings("cover", "cover.tif"),),
        seed=7,
    )
    return r.Report(
        title=title,
        settings=settings,
        grid=grid,
        species="Ruffed grouse (Bonasa umbellus)",
        car=spots[0],
        depart=START,
        back=now,
        stops=tuple(stops),
        legs=tuple(legs),
        sun=r.SunTimes(START.replace(hour=4, minute=47), START.replace(hour=5, minute=27), SUNRISE, "a thin moon"),
        north=North(-1.0, 0.4, gamma),
        males=r.Males(3.1, 1.4, 5.6, 4.1, 2.4, 1.2),
        plain=r.PlainWalk(
            PlainWalkKind.BY_TRAIL, "north", 5.0, 300.0, 6, 1.4, 4100.0, np.array([places[0], places[3]])
        ),
        proof=r.Proof(3.2, 0.03, 84),
        country=made_country(layers, grid, home),
        budget_curve=((60.0, 1.1), (120.0, 2.4), (180.0, 3.1)),
        robustness=r.Robustness(
            START.replace(hour=8, minute=0),
            (r.DelayLoss("slower", 0.2, 0.13, ("P05",)),),
            (r.LeaveOut("P05", 0.4), r.LeaveOut("P02", 1.1)),
        ),
        notices=("Stand age is missing: the young-forest share is guessed from height.",),
        assumptions=("Participation of 0.7 is a judgement.",),
        cautions=cautions(settings),
        layer_stories=("cover: cover.tif, 30 m, resampled to 10 m by nearest",),
        source_keys=("petraborg_1953",),
        bail_outs=tuple(outs),
    )

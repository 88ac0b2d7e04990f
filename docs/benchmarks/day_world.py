"""A spring morning to try ways of working on: males, drums, ears, feet and eyes, with nothing taken from hushwalk.

It reads the same layer files as a trip, but judges ground, sound and pace by models of its own, so that a way of
working is not tried on the very assumptions that it was planned with. Every number here is a judgement, chosen from
published ranges (docs/sources.md): drums in bouts, four minutes apart; half of them heard at ``half_m``; bearings with
a heavy tail; distances judged with a spread of 0.6 on the logarithm.
"""

import math
import tomllib
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pyogrio
import rasterio
from pyproj import Transformer
from rasterio.features import rasterize
from rasterio.transform import from_origin
from rasterio.warp import Resampling, reproject
from scipy import ndimage
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

CELL_M = 20.0
# worth of ground for a male, against the best, by NLCD class; 45 and 46 are young woods in the demo's layer
WORTH = {45: 1.0, 46: 1.0, 90: 0.45, 41: 0.35, 43: 0.35, 52: 0.15, 42: 0.06, 95: 0.02}
# metres a second on foot by class, quietly; trails and roads go before
SPEED = {11: 0.0, 21: 0.8, 22: 0.8, 31: 0.8, 71: 0.8, 81: 0.8, 82: 0.8, 41: 0.6, 43: 0.55, 42: 0.55, 45: 0.45, 46: 0.45}
SPEED |= {52: 0.5, 90: 0.4, 95: 0.35}
ON_TRAIL_MS = 0.95
SEARCH_PACE_MS = 0.42
FOLLOWED_SPEED_MS = 0.55


@dataclass(frozen=True)
class Odds:
    """What is true of the birds, the ears and the eyes.

    Parameters
    ----------
    half_m : distance at which half of the drums are heard on open ground [m].
    sd_deg, stray_share : of a bearing by ear; a stray bearing is wrong by anything.
    per_km2 : males on each square kilometre of the best ground.
    cluster : males that a hollow with any holds on average.
    participation : chance that a male drums at all on a morning.
    seen_m : distance at which a log is just seen [m].
    """

    half_m: float = 300.0
    sd_deg: float = 12.0
    stray_share: float = 0.04
    per_km2: float = 11.0
    cluster: float = 3.0
    participation: float = 0.55
    seen_m: float = 6.0


@dataclass(eq=False)
class Country:
    """Ground in cells of 20 m: worth for a male 0..1, speed on foot [m/s] (0 where nobody walks), in one UTM zone."""

    epsg: int
    west: float
    north: float
    worth: np.ndarray
    speed: np.ndarray
    car: tuple[float, float]
    graph: object = field(repr=False, default=None)

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.worth.shape

    def cell(self, xy: tuple[float, float]) -> tuple[int, int]:
        """Row and column of a place; the nearest one for a place outside."""
        row, col = int((self.north - xy[1]) // CELL_M), int((xy[0] - self.west) // CELL_M)
        return min(max(row, 0), self.shape[0] - 1), min(max(col, 0), self.shape[1] - 1)

    def xy(self, row: int, col: int) -> tuple[float, float]:
        """Middle of a cell [m]."""
        return self.west + (col + 0.5) * CELL_M, self.north - (row + 0.5) * CELL_M

    def walk_seconds(self, xy: tuple[float, float]) -> tuple[np.ndarray, np.ndarray]:
        """Seconds on foot from a place to every cell, and the cell before each on the way."""
        row, col = self.cell(xy)
        seconds, before = dijkstra(self.graph, indices=row * self.shape[1] + col, return_predecessors=True)
        return seconds.reshape(self.shape), before

    def line(self, before: np.ndarray, to: tuple[int, int]) -> np.ndarray:
        """The way to a cell, shape (k, 2)."""
        at, cells = to[0] * self.shape[1] + to[1], []
        while at >= 0:
            cells.append(self.xy(*divmod(at, self.shape[1])))
            at = before[at]
        return np.array(cells[::-1])


def _place(text: str) -> tuple[int, float, float]:
    """UTM zone as an EPSG code, and metres in it, of ``15T 700075 5250765`` or ``47.38, -90.33``."""
    words = text.replace(",", " ").split()
    if len(words) == 3:
        return 32600 + int(words[0][:-1]), float(words[1]), float(words[2])
    lat, lon = float(words[0]), float(words[1])
    epsg = 32600 + int((lon + 180) // 6) + 1
    return epsg, *Transformer.from_crs(4326, epsg, always_xy=True).transform(lon, lat)


def country_of(trip: Path, layers: Path | None = None) -> Country:
    """Read the ground of a trip file whose cover follows the NLCD legend.

    Parameters
    ----------
    trip : the trip file.
    layers : folder of the layer files; that of the trip file if not given.
    """
    said = tomllib.loads(trip.read_text(encoding="utf-8"))
    folder = layers or trip.parent
    epsg, x, y = _place(said["place"]["car"])
    reach = float(said["ground"]["reach_m"])
    n = int(2 * reach / CELL_M)
    west, north = round(x / CELL_M) * CELL_M - reach, round(y / CELL_M) * CELL_M + reach
    lattice = from_origin(west, north, CELL_M, CELL_M)
    cover, lines, shut = np.zeros((n, n), np.int16), np.zeros((n, n), bool), np.zeros((n, n), bool)
    water = np.zeros((n, n), bool)
    for layer in said["layer"]:
        path, kind = folder / layer["path"], layer["kind"]
        if kind == "cover":
            with rasterio.open(path) as file:
                reproject(
                    rasterio.band(file, 1),
                    cover,
                    dst_transform=lattice,
                    dst_crs=f"EPSG:{epsg}",
                    resampling=Resampling.nearest,
                )
        elif kind in {"trails", "roads", "closed", "water", "streams", "wetlands"}:
            shapes = pyogrio.read_dataframe(path, layer=layer.get("layer")).to_crs(epsg)
            burnt = rasterize(shapes.geometry, (n, n), transform=lattice, all_touched=kind in {"trails", "roads"})
            if kind in {"trails", "roads"}:
                lines |= burnt.astype(bool)
            elif kind == "closed":
                shut |= burnt.astype(bool)
            if kind in {"water", "streams", "wetlands"}:
                water |= rasterize(shapes.geometry, (n, n), transform=lattice, all_touched=True).astype(bool)
            if kind == "water":
                shut |= burnt.astype(bool)
    worth, speed = np.zeros((n, n)), np.zeros((n, n))
    for code, value in WORTH.items():
        worth[cover == code] = value
    for code, value in SPEED.items():
        speed[cover == code] = value
    near_water = ndimage.distance_transform_edt(~(water | np.isin(cover, (90, 95, 11)))) * CELL_M
    worth *= np.where(near_water < 200, 1.0, 0.5)
    worth = np.where(shut, 0.0, np.clip(ndimage.uniform_filter(worth, 5), 0, 1))
    speed[lines] = ON_TRAIL_MS
    speed[shut] = 0.0
    country = Country(epsg, west, north, worth, speed, (x, y))
    country.speed[country.cell(country.car)] = ON_TRAIL_MS
    country.graph = _graph(speed)
    return country


def _graph(speed: np.ndarray) -> object:
    """Seconds between neighbouring cells, eight ways."""
    n, m = speed.shape
    index = np.arange(n * m).reshape(n, m)
    rows, cols, times = [], [], []
    for dr, dc in ((0, 1), (1, 0), (1, 1), (1, -1)):
        a = index[: n - dr, max(0, -dc) : m - max(0, dc)].ravel()
        b = index[dr:, max(0, dc) : m - max(0, -dc)].ravel()
        s, t = speed.ravel()[a], speed.ravel()[b]
        free = (s > 0) & (t > 0)
        took = math.hypot(dr, dc) * CELL_M * 0.5 * (1 / s[free] + 1 / t[free])
        rows += [a[free], b[free]]
        cols += [b[free], a[free]]
        times += [took, took]
    return coo_matrix((np.concatenate(times), (np.concatenate(rows), np.concatenate(cols))), (n * m, n * m)).tocsr()


@dataclass(frozen=True)
class Heard:
    """One drum as the walker took it: minute from sunrise, from where, bearing from grid north, distance judged."""

    male: int
    minute: float
    xy: tuple[float, float]
    azimuth_deg: float
    judged_m: float


@dataclass(eq=False)
class Day:
    """One dawn: where the males are, when each drums, and what the walker does to them."""

    country: Country
    odds: Odds
    rng: np.random.Generator
    males: np.ndarray = field(init=False)
    drums: list[np.ndarray] = field(init=False)
    near: set[int] = field(init=False, default_factory=set)

    def __post_init__(self) -> None:
        self.males = self._males()
        self.loud_db = self.rng.normal(0, 4, len(self.males))
        self.drums = [self._drums() for _ in self.males]
        self.path_db: dict[tuple[int, int, int], float] = {}
        self.ear_deg: dict[tuple[int, int, int], float] = {}

    @property
    def drumming(self) -> int:
        """Males that drum at all this morning."""
        return sum(len(d) > 0 for d in self.drums)

    def _males(self) -> np.ndarray:
        """Clustered places: parents by the worth of the ground, each with males around it that keep 80 m apart."""
        worth = self.country.worth
        mean = worth.sum() * CELL_M**2 / 1e6 * self.odds.per_km2
        cells = self.rng.choice(worth.size, self.rng.poisson(mean / self.odds.cluster), p=worth.ravel() / worth.sum())
        found: list[tuple[float, float]] = []
        for cell in cells:
            x, y = self.country.xy(*divmod(int(cell), worth.shape[1]))
            for _ in range(1 + self.rng.poisson(self.odds.cluster - 1)):
                for _ in range(20):
                    at = (x + self.rng.normal(0, 150), y + self.rng.normal(0, 150))
                    inside = 0 <= self.country.cell(at)[0] < worth.shape[0]
                    good = inside and worth[self.country.cell(at)] > 0.15 * self.rng.random()
                    if good and all(math.dist(at, other) > 80 for other in found):
                        found.append(at)
                        break
        return np.array(found).reshape(-1, 2)

    def _drums(self) -> np.ndarray:
        """Minutes from sunrise of a male's drums: none on a morning off, else bouts of 35 min with pauses of 20."""
        if self.rng.random() > self.odds.participation:
            return np.zeros(0)
        times, clock, on = [], -120.0 - self.rng.exponential(35), self.rng.random() < 0.64
        while clock < 300:
            end = clock + self.rng.exponential(35 if on else 20)
            if on:
                at = clock + np.cumsum(self.rng.exponential(3.9, int((end - clock) / 2) + 5))
                times.append(at[at < end])
            clock, on = end, not on
        at = np.concatenate(times) if times else np.zeros(0)
        keep = np.interp(at, [-120, -60, 0, 60, 120, 180, 240], [0.5, 1, 0.95, 0.8, 0.55, 0.35, 0.15])
        return at[self.rng.random(len(at)) < keep]

    def listen(self, xy: tuple[float, float], begin: float, end: float) -> list[Heard]:
        """Listen at a place and take the bearing of every drum that is heard."""
        heard = []
        for k, male in enumerate(self.males):
            metres = max(math.dist(xy, male), 1.0)
            key = (k, round(xy[0] / 30), round(xy[1] / 30))
            path = self.path_db.setdefault(key, self.rng.normal(0, 4))
            margin = 20 * math.log10(self.odds.half_m / metres) + 0.02 * (self.odds.half_m - metres)
            for minute in self.drums[k][(self.drums[k] >= begin) & (self.drums[k] < end)]:
                if margin + self.loud_db[k] + path + self.rng.normal(0, 2) < 0:
                    continue
                shared = self.ear_deg.setdefault(key, self.rng.normal(0, 0.6 * self.odds.sd_deg))
                off = shared + self.rng.normal(0, 0.8 * self.odds.sd_deg)
                if self.rng.random() < self.odds.stray_share:
                    off = self.rng.uniform(-180, 180)
                true = math.degrees(math.atan2(male[0] - xy[0], male[1] - xy[1]))
                judged = metres * math.exp(self.rng.normal(0, float(np.interp(metres, (60, 200), (0.3, 0.6)))))
                heard.append(Heard(k, float(minute), xy, (true + off) % 360, judged))
        return sorted(heard, key=lambda h: h.minute)

    def walk(self, line: np.ndarray, minute: float) -> None:
        """Walk a line: males passed too near fall silent, for a while or for the morning."""
        for k, male in enumerate(self.males):
            metres = float(np.hypot(*(_dense(line, 10.0) - male).T).min())
            if metres < 50 and len(self.drums[k]):
                self.near.add(k)
            for limit, chance in ((30, 0.8), (50, 0.5), (60, 0.2)):
                if metres < limit:
                    if self.rng.random() < chance:
                        later = minute + 15 * math.exp(self.rng.normal(0, 0.6))
                        self.drums[k] = self.drums[k][(self.drums[k] < minute) | (self.drums[k] > later)]
                    break

    def search(self, line: np.ndarray, minutes: float, found: set[int]) -> tuple[float, set[int]]:
        """Search along a line for some minutes at most, ten of them at each log; give minutes spent and logs found."""
        step = 2.0
        points = _dense(line, step)
        spent, new = 0.0, set()
        width = 1.6 * self.odds.seen_m  # sweep width, medium visibility, Koester and others (2014)
        sd = width / math.sqrt(2 * math.pi) / 0.9
        last: dict[int, float] = {}
        for i, point in enumerate(points):
            spent = (i * step) / SEARCH_PACE_MS / 60 + 10 * len(new)
            if spent > minutes:
                break
            if not len(self.males):
                continue
            away = np.hypot(*(self.males - point).T)
            for k in np.flatnonzero(away < 4 * sd):
                if k in found or k in new:
                    continue
                best = min(last.get(int(k), math.inf), float(away[k]))
                before = _seen(last.get(int(k), math.inf), sd)
                now = _seen(best, sd)
                last[int(k)] = best
                if now > before and self.rng.random() < (now - before) / (1 - before):
                    new.add(int(k))
        return spent, new


def _seen(metres: float, sd: float) -> float:
    return 0.0 if math.isinf(metres) else 0.9 * math.exp(-(metres**2) / (2 * sd**2))


def _dense(line: np.ndarray, step: float) -> np.ndarray:
    """Points along a line, at most a step apart."""
    line = np.asarray(line, float).reshape(-1, 2)
    if len(line) < 2:
        return line
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.linspace(0, along[-1], max(2, int(along[-1] / step) + 1))
    return np.column_stack([np.interp(at, along, line[:, 0]), np.interp(at, along, line[:, 1])])

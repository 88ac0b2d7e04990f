"""hushwalk's way of working a day, followed to the letter through its commands: plan, note, search.

The day itself is day_world.py's, closing in is day_closing_in.py's; of hushwalk only files and commands are used.
"""

import csv
import json
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from day_closing_in import FARTHEST_M, close_in, guess_of, judged_m, mean_deg, told_apart, turned
from day_ways import SEARCH_UNTIL, Outcome, given
from day_world import SEARCH_PACE_MS, Day, Heard
from pyproj import Transformer

Run = Callable[[list[str]], str]
Row = dict[str, str]
XY = tuple[float, float]
TRY_FITS_MIN = 25.0  # a try is begun where so much is left beside the way back
LATE_MIN = 6.0  # so late at a stop one looks at the clock
WALK_BACK_M = 200.0  # to a bird farther off one walks back to where he was heard, and goes from there
SAME_M, SAME_SHARE = 60.0, 0.35  # a bird that seems to be so near to one gone for, or this share of his distance, is he


@dataclass(eq=False)
class Dawn:
    """A dawn as it is walked.

    Parameters
    ----------
    day, out : of the simulation, and what it came to.
    metres, sunrise : of the plan.
    due : back at the car by then [min from sunrise].
    light : nobody leaves the trail to close in before this [min from sunrise]; infinite where nobody closes in.
    here, clock : where one is, and when.
    rows : noted so far.
    marks, gone_for : places where birds were marked, and where those seemed to be that were tried [m].
    untried : birds that one might go for, each with the rows that it was noted in.
    """

    day: Day
    out: Outcome
    metres: Transformer
    sunrise: datetime
    due: float
    light: float
    here: XY
    clock: float = -math.inf
    rows: list[Row] = field(default_factory=list)
    marks: list[XY] = field(default_factory=list)
    gone_for: list[XY] = field(default_factory=list)
    untried: list[tuple[list[Heard], list[Row]]] = field(default_factory=list)

    def minutes_home(self, xy: XY) -> float:
        """Minutes to the car from a place."""
        return float(self.day.country.walk_seconds(self.day.country.car)[0][self.day.country.cell(xy)]) / 60


def planned(day: Day, trip: Path, plan: dict, run: Run, *, closing_in: bool = True) -> Outcome:
    """Follow a plan: stand where and when it says, close in where it keeps time free, note, search as `search` says.

    Parameters
    ----------
    day : of the simulation.
    trip : a trip file of its own folder, whose ledger may be written.
    plan : its summary.json.
    run : runs a command line of hushwalk, ``run(["note", ...])``.
    closing_in : whether the person closes in at all.
    """
    out = Outcome()
    metres = Transformer.from_crs(4326, day.country.epsg, always_xy=True)
    sunrise = datetime.fromisoformat(plan["sunrise"])
    dawn = _dawn(day, plan, metres, sunrise, out, closing_in=closing_in)
    table = trip.parent / "table.csv"
    with table.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(dawn.rows[0]))
        writer.writeheader()
        writer.writerows(dawn.rows)
    run(["note", str(trip), "--from", str(table)])
    until = sunrise + timedelta(minutes=SEARCH_UNTIL)
    folder = trip.parent / "search"
    if run(["search", str(trip), "--back-by", f"{until:%H:%M}", "--out", str(folder)]):
        _follow_search(day, folder / "search.geojson", metres, sunrise, out)
    return out


def _dawn(day: Day, plan: dict, metres: Transformer, sunrise: datetime, out: Outcome, *, closing_in: bool) -> Dawn:
    """Walk the stops; where a try has made one late, a stop is stood as long as one is back in time after it."""
    country = day.country
    kept = plan.get("closing_in") or {}
    tries = closing_in and kept.get("kept_free_minutes", 0) > 0
    due = _minutes(kept["due"] if kept else plan["back"], sunrise)
    light = _minutes(plan["civil_dawn"], sunrise) if tries else math.inf
    dawn = Dawn(day, out, metres, sunrise, due, light, country.car)
    further = (kept.get("if_nothing_heard") or {}).get("stops", [])
    for stop in [*plan["stops"], *further]:
        xy = metres.transform(stop["lon_deg"], stop["lat_deg"])
        seconds, before = country.walk_seconds(dawn.here)
        begin, end = (_minutes(stop[key], sunrise) for key in ("arrive", "leave"))
        there = dawn.clock + seconds[country.cell(xy)] / 60
        if there > begin + LATE_MIN:
            begin, end = there, there + end - begin
            if end + dawn.minutes_home(xy) > due:
                continue
        day.walk(country.line(before, country.cell(xy)), begin)
        heard = day.listen(xy, begin, end)
        out.heard |= {h.male for h in heard}
        rows = _rows(stop, sunrise, begin, end, heard)
        dawn.here, dawn.clock = xy, end
        dawn.rows += rows
        dawn.untried += [(bird, rows) for bird in told_apart(heard)[:2] if judged_m(bird) < FARTHEST_M]
        while _try_the_nearest(dawn, FARTHEST_M):
            pass
    while _try_the_nearest(dawn, math.inf):
        pass
    out.back_min = dawn.clock + dawn.minutes_home(dawn.here)
    return dawn


def _try_the_nearest(dawn: Dawn, farthest_m: float) -> bool:
    """Close in on the nearest of the birds heard so far; to one far off one first walks back to where he was heard."""
    if dawn.clock < dawn.light or dawn.clock + dawn.minutes_home(dawn.here) + TRY_FITS_MIN > dawn.due:
        return False
    dawn.untried = [one for one in dawn.untried if not _had(dawn, one[0])]
    nearest = min(dawn.untried, key=lambda one: math.dist(guess_of(one[0]), dawn.here), default=None)
    if nearest is None or math.dist(guess_of(nearest[0]), dawn.here) > farthest_m:
        return False
    bird, rows = nearest
    dawn.untried.remove(nearest)
    if math.dist(guess_of(bird), dawn.here) > WALK_BACK_M and bird[0].xy != dawn.here:
        country = dawn.day.country
        seconds, before = country.walk_seconds(dawn.here)
        there = dawn.clock + float(seconds[country.cell(bird[0].xy)]) / 60
        if there + dawn.minutes_home(bird[0].xy) + TRY_FITS_MIN > dawn.due:
            return True
        dawn.day.walk(country.line(before, country.cell(bird[0].xy)), dawn.clock)
        dawn.here, dawn.clock = bird[0].xy, there
    _try(dawn, bird, rows)
    return True


def _had(dawn: Dawn, bird: list[Heard]) -> bool:
    """Whether a bird may well be one that was marked or gone for already."""
    seems = guess_of(bird)
    room = max(SAME_M, SAME_SHARE * judged_m(bird))
    return given(dawn.marks, bird) or any(math.dist(seems, place) < room for place in dawn.gone_for)


def _try(dawn: Dawn, bird: list[Heard], rows: list[Row]) -> None:
    """Close in on a bird and note every stand, silent ones too; the bird followed bears one name."""
    out, name = dawn.out, f"F{dawn.out.tries + 1}"
    _call(rows, mean_deg(bird), name)
    tried = close_in(dawn.day, bird, dawn.here, dawn.clock)
    out.tries += 1
    dawn.gone_for.append((float(guess_of(bird)[0]), float(guess_of(bird)[1])))
    for k, stand in enumerate(tried.stands):
        lon, lat = dawn.metres.transform(*stand.xy, direction="INVERSE")
        place = {"name": f"{name}S{k + 1}", "lon_deg": lon, "lat_deg": lat}
        stood = _rows(place, dawn.sunrise, stand.begin, stand.end, stand.heard)
        for row in stood:
            row["stop"] = "" if stand.heard else row["stop"]
        if stand.own:
            _call(stood, mean_deg(stand.own), name)
        dawn.rows += stood
        out.heard |= {h.male for h in stand.heard}
    dawn.here, dawn.clock = tried.here, tried.clock
    if tried.mark is not None:
        out.closed_in += 1
        dawn.marks.append(tried.mark)
        out.marks.append(math.dist(tried.mark, dawn.day.males[tried.male]))


def _call(rows: list[Row], azimuth_deg: float, name: str) -> None:
    aimed = [row for row in rows if row["reading_deg"]]
    if aimed:
        min(aimed, key=lambda row: turned(float(row["reading_deg"]), azimuth_deg))["bird"] = name


def _follow_search(day: Day, path: Path, metres: Transformer, sunrise: datetime, out: Outcome) -> None:
    said = json.loads(path.read_text(encoding="utf-8"))["features"]
    areas = {f["properties"]["name"]: f["properties"] for f in said if f["properties"]["kind"] == "area"}
    lines = {f["properties"]["name"]: f["geometry"]["coordinates"] for f in said if f["properties"]["kind"] == "path"}
    out.promised = sum(area["logs"] for area in areas.values())
    for name, area in areas.items():
        line = np.array([metres.transform(*point[:2]) for point in lines[name]])
        room = min(_minutes(area["leave"], sunrise), SEARCH_UNTIL) - _minutes(area["arrive"], sunrise)
        length = float(np.hypot(*np.diff(line, axis=0).T).sum())
        out.found |= day.search(line, max(room, length / SEARCH_PACE_MS / 60), out.found)[1]


def _minutes(text: str, sunrise: datetime) -> float:
    return (datetime.fromisoformat(text) - sunrise).total_seconds() / 60


def _rows(stop: dict, sunrise: datetime, begin: float, end: float, heard: list[Heard]) -> list[Row]:
    """Lines of the fill-in table for one stop: one a bird that the ear tells apart there."""
    start, stopped = (sunrise + timedelta(minutes=m) for m in (begin, end))
    line = {
        "line": stop["name"],
        "stop": stop["name"],
        "place": f"{stop['lat_deg']:.6f}, {stop['lon_deg']:.6f}",
        "date": f"{sunrise:%Y-%m-%d}",
        "start": f"{start:%H:%M}",
        "end": f"{stopped:%H:%M}",
        "heard": "yes" if heard else "no",
        "wind": "calm",
        "sky": "clear",
        "bird": "",
        "reading_deg": "",
        "north": "G",
        "error": "usual",
        "distance": "",
        "remark": "",
    }
    birds = told_apart(heard)
    if not birds:
        return [line]
    made = []
    for k, bird in enumerate(birds):
        judged = judged_m(bird)
        near = "near" if judged < 140 else "mid" if judged < 260 else "far"
        reading = f"{mean_deg(bird):.0f}"
        made.append(line | {"line": f"{stop['name']}-{k + 1}", "reading_deg": reading, "distance": near})
    return made

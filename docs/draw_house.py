"""Draw the house and the walk of `plan` through it, as docs/house.svg: python docs/draw_house.py.

The rooms are read from pyproject.toml, so that the picture cannot differ from what import-linter checks.
"""

import tomllib
from pathlib import Path
from xml.sax.saxutils import escape

HERE = Path(__file__).parent
WIDTH, FLOOR_PX, ROOM_PX, TOP = 1180, 74, 50, 66
LABELS = {
    "cli": "a command a file: parse, call a story, print",
    "desk": "the local page: routes a room, state, assets",
    "api": "the face in Python: an opened trip",
    "outputs": "kit/ and a folder a product: walk/ ground/ campaign/ season/ search/ filming/ regions/",
    "wording": "facts to sentences",
    "morning": "plan, replan, share",
    "season": "heard against predicted",
    "filming": "a session at a log",
    "regions": "rank car places",
    "campaign": "several days together",
    "gather": "open data to layers",
    "birds": "bearings to a bird, and the search",
    "notes": "ledger, typed notes, tables, GPX",
    "site": "settings, layers, species, cover: one ground",
    "habitat": "worth, males",
    "hearing": "soundscape",
    "walking": "times",
    "logs": "sides of a log",
    "files": "read, write",
    "planning": "model, heuristic, bound, orienteering: arrays only",
    "grid": "where rows and columns meet metres",
    "science": "one phenomenon a file, every function with its source",
    "sources": "numbers and where they come from",
    "errors": "one tree",
    "text": "clean words",
    "types": "array types",
    "progress": "steps of a run",
    "worker": "second process",
    "cache": "kept results",
}
WALK = (
    ("cli", "plan.py", "parse the words, call the story"),
    ("site", "trip_file.py", "trip.toml to TripSettings"),
    ("site", "site.py", "layers on one grid: Site"),
    ("habitat", "suitability.py", "measures, scores, males"),
    ("walking", "graph.py, times.py", "seconds between any two places"),
    ("hearing", "soundscape.py", "what each post hears: coverage"),
    ("morning", "morning_problem.py", "all of it as arrays: Problem"),
    ("planning", "solve.py", "search, then proof: Plan"),
    ("morning", "story.py", "the facts of a morning: Report"),
    ("wording", "plan_words.py", "facts to sentences"),
    ("outputs", "write.py", "page, sheet, GPX, data files"),
)
COLOURS, PAPER, LINE, ACCENT = "#22313f", "#fbfaf6", "#8a949c", "#b5442e"


def floors() -> list[list[str]]:
    """Rooms by floor, the roof first."""
    project = tomllib.loads((HERE.parent / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = project["tool"]["importlinter"]["contracts"]
    layers = next(one["layers"] for one in contracts if one["type"] == "layers")
    return [[room.strip() for room in layer.replace(":", "|").split("|")] for layer in layers if layer != "__main__"]


def placed(rooms: list[list[str]]) -> dict[str, tuple[float, float, float]]:
    """Left edge, top and width of each room."""
    found = {}
    for k, floor in enumerate(rooms):
        width = (WIDTH - 360) / len(floor)
        for j, room in enumerate(floor):
            found[room] = (20 + j * width, TOP + k * FLOOR_PX, width - 10)
    return found


def text(x: float, y: float, words: str, style: str = "") -> str:
    """One line of text."""
    return f'<text x="{x:.0f}" y="{y:.0f}" fill="{COLOURS}" {style}>{escape(words)}</text>'


def house(places: dict[str, tuple[float, float, float]]) -> list[str]:
    """The rooms with what each is for."""
    drawn = []
    for room, (x, y, width) in places.items():
        drawn.append(f'<rect x="{x:.0f}" y="{y}" width="{width:.0f}" height="{ROOM_PX}" fill="#fff" stroke="{LINE}"/>')
        drawn.append(text(x + 10, y + 20, room, 'font-weight="bold"'))
        drawn.append(text(x + 10, y + 39, LABELS.get(room, ""), 'font-size="12"'))
    return drawn


def walk(places: dict[str, tuple[float, float, float]]) -> list[str]:
    """The numbered steps of `plan` on the right, and their numbers on the rooms."""
    drawn = [text(WIDTH - 312, TOP - 14, "hushwalk plan, from file to map", 'font-weight="bold"')]
    taken: dict[str, int] = {}
    for k, (room, file, words) in enumerate(WALK, 1):
        x, y, width = places[room]
        column = taken[room] = taken.get(room, -1) + 1
        listed = TOP + 26 + (k - 1) * 82
        for cx, cy in ((WIDTH - 300, listed), (x + width - 18 - 26 * column, y + 17)):
            drawn.append(f'<circle cx="{cx:.0f}" cy="{cy}" r="11" fill="{ACCENT}"/>')
            number = f'x="{cx:.0f}" y="{cy + 4.5}" fill="#fff" text-anchor="middle" font-size="13"'
            drawn.append(f"<text {number}>{k}</text>")
        drawn.append(text(WIDTH - 280, listed + 5, f"{room}/{file}", 'font-weight="bold" font-size="14"'))
        drawn.append(text(WIDTH - 280, listed + 25, words, 'font-size="13"'))
        if k < len(WALK):
            line = f'x1="{WIDTH - 300}" x2="{WIDTH - 300}" y1="{listed + 14}" y2="{listed + 68}"'
            drawn.append(f'<line {line} stroke="{ACCENT}" stroke-width="2"/>')
    return drawn


def picture() -> str:
    """The whole picture."""
    rooms = floors()
    places = placed(rooms)
    height = TOP + len(rooms) * FLOOR_PX + 10
    head = text(20, 30, "The house: a room imports from lower floors only", 'font-size="18" font-weight="bold"')
    body = [head, *house(places), *walk(places)]
    frame = f'<rect width="{WIDTH}" height="{height}" fill="{PAPER}"/>'
    font = 'font-family="sans-serif" font-size="15"'
    opening = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" {font}>'
    return "\n".join([opening, frame, *body, "</svg>"]) + "\n"


if __name__ == "__main__":
    (HERE / "house.svg").write_text(picture(), encoding="utf-8")

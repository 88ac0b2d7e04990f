"""Bad input for the gallery: typed notes, tables, waypoints, options, species cards, regions; and all of it together.

Trip files and layers are gallery_attempts.py's.
"""

import random
from collections.abc import Iterator

from gallery_attempts import Attempt, damaged_layers, odd_layers, trip, trip_files, written

TYPED = (
    "P03",
    "b2",
    "085",
    "085M",
    "far",
    "06:12",
    "nil",
    "heard",
    "log3",
    "fresh",
    "name=x",
    "side=N",
    "length=4.5",
    "walk",
)
NASTY = (
    "\x00",
    "\u202e\u2066",
    "=1+1",
    "9" * 400,
    "nan",
    "-1",
    "🐦" * 50,
    "<script>",
    "'; drop table",
    "P" * 9000,
    "06:99",
    "=",
)


def notes() -> Iterator[Attempt]:
    """Typed lines, tables and waypoints."""
    for k in range(200):
        rng = random.Random(k)  # noqa: S311
        words = [rng.choice((*TYPED, *NASTY[1:])) for _ in range(rng.randrange(1, 6))]
        say = ("--say", rng.choice(NASTY[1:])) if k % 4 == 0 else ()
        yield Attempt("notes: typed", str(k), lambda _: None, ("note", "trip.toml", *words, *say))
    header = "time,stop,bird,bearing,north,distance,remarks"
    for k in range(80):
        rng = random.Random(-k)  # noqa: S311
        rows = [header, *(",".join(rng.choice((*TYPED, *NASTY, '"', "")) for _ in range(7)) for _ in range(5))]
        text = "\n".join(rows).encode("utf-8", "replace")
        yield Attempt("notes: tables", str(k), written("w.csv", text), ("note", "trip.toml", "--from", "w.csv"))
    for k in range(80):
        rng = random.Random(1000 + k)  # noqa: S311
        raw = bytearray(GPX.encode())
        for _ in range(rng.choice([0, 1, 5, 40])):
            raw[rng.randrange(len(raw))] = rng.randrange(256)
        yield Attempt(
            "notes: waypoints", str(k), written("w.gpx", bytes(raw)), ("note", "trip.toml", "--from", "w.gpx")
        )
    for moment in ("9999-12-31T23:59:59Z", "0001-01-01T00:00:00Z", "2027-13-01T00:00:00Z", "x"):
        text = GPX.replace("2027-04-25T11:12:00Z", moment).encode()
        yield Attempt("notes: waypoints", moment, written("w.gpx", text), ("note", "trip.toml", "--from", "w.gpx"))


GPX = (
    '<?xml version="1.0"?><gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="46.94" '
    'lon="-91.69"><time>2027-04-25T11:12:00Z</time><name>P03 B2 085M</name></wpt></gpx>'
)
WRONG = {
    "plan": (
        "--think nan",
        "--think inf",
        "--proof nan",
        "--share nan",
        "--share inf",
        "--steps 0",
        "--notes none.gpkg",
        "--notes /dev/zero",
        "--must x",
        "--not-across ;",
        "--shorter -1",
        "--out trip.toml",
        "--layers none",
        "--think",
    ),
    "search": (
        "--hours nan",
        "--seen-from nan",
        "--day 0001-01-01",
        "--begin 25:00",
        "--from x",
        "--bird =",
        "--notes none",
    ),
    "fix": ("--day 9999-12-31", "--from nan,nan", "--bird x", "--notes none", "--notes /dev/null", "--notes trip.toml"),
    "replan": ("--at P01 --clock 07:00", "--at x --clock 99:99", "--clock 07:00", "--at P01 --clock 07:00 --plan none"),
    "rehearse": ("--days 0", "--plan none", "--days nan", "--json --plan /dev/null"),
    "habitat": ("--at nan,nan", "--out trip.toml", "--nothing"),
    "why": ("nan,nan", "x", "90,0", "", "46.94,-91.69 --plan x"),
    "earshot": ("x y", "46.94,-91.69", "46.94,-91.69 nan,nan", "0,0 46.94,-91.69"),
    "session": ("log1", "log1 --days 0", "log1 --from 9999-12-31", "x --notes none"),
    "season": ("--notes none", "--notes /dev/null", "--x"),
    "tomorrow": ("--day 9999-12-31", "--notes none", "--out trip.toml"),
    "listener": ("--notes none", "--notes trip.toml"),
    "pace": ("none.gpx", "trip.toml", "/dev/null", "heights.tif"),
    "note": ("--strike x", "--mend x", "--from none", "--from /dev/null", "--blank trip.toml", "--at x", "--lines 0"),
}


def wrong_arguments() -> Iterator[Attempt]:
    """Options that no command can use."""
    for command, lines in WRONG.items():
        for line in lines:
            words = (command, "trip.toml", *line.split(" "))
            yield Attempt(
                "arguments",
                f"{command} {line}",
                lambda _: None,
                words,
                (2,) if "none" in line or "nan" in line else (0, 2),
            )
    for command in (*WRONG, "check", "areas"):
        for path in ("none.toml", "/dev/null", "heights.tif", "a\udcffb", "x" * 5000):
            yield Attempt("arguments", f"{command} {path[:9]!r}", lambda _: None, (command, path), (2,))
    for words in (
        ("start", "trip.toml"),
        ("start", "/dev/null/x"),
        ("species", "x"),
        ("legends", "x"),
        ("sources", "x"),
        ("x",),
    ):
        yield Attempt("arguments", " ".join(words), lambda _: None, words, (2,))


def cards_and_regions() -> Iterator[Attempt]:
    """Species cards and region files of nonsense."""
    for k, text in enumerate(("", "x", "[a]\n", "\0", "[" * 5000, "name = 1\n", 'name = "x"\n', "a = " + "9" * 9000)):
        for command in ("check", "habitat", "plan"):
            spoil = written("b.toml", text.encode(), trip(("seed = 1", 'seed = 1\nspecies = "b.toml"')))
            yield Attempt("cards and regions", f"{command} card {k}", spoil, (command, "trip.toml"))
        yield Attempt("cards and regions", f"region {k}", written("r.toml", text.encode()), ("areas", "r.toml"))


def attempts() -> list[Attempt]:
    """All attempts."""
    makers = (trip_files, damaged_layers, odd_layers, notes, wrong_arguments, cards_and_regions)
    return [attempt for make in makers for attempt in make()]

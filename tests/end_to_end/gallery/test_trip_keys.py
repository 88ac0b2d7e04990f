"""Every key of a trip file wrong in turn: of another type, misspelt, out of range; made from the settings."""

from collections.abc import Iterator
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass
from datetime import date, time
from typing import Any, Literal, get_args, get_origin, get_type_hints

import pytest
from annotated_types import Ge, Gt, Le, Len, Lt

from hushwalk.errors import SettingsError
from hushwalk.site.settings import TripSettings
from hushwalk.site.trip_file import NOT_IN_FILES, parse_trip

Country = Any
Run = Any

HEADS = {
    "place": "[place]",
    "morning": "[morning]",
    "walker": "[walker]",
    "search": "[search]",
    "wishes": "[wishes]",
    "evening": "[evening]",
    "campaign": "[campaign]",
    "campaign.exception": "[[campaign.exception]]",
    "weather": "[weather]",
    "ground": "[ground]",
    "layers": "[[layer]]",
    "closed": "[[closed]]",
    "camera": "[camera]",
    "camera.lens": "[[camera.lens]]",
    "camera.log": "[[camera.log]]",
    "camera.day": "[[camera.day]]",
}
RIGHT = {
    "place": {"name": '"Hollow Alder"', "car": '"47.62, -91.70"'},
    "morning": {"date": "2027-04-25", "time_zone": '"America/Chicago"', "back_by": "09:30:00"},
    "layers": {"kind": '"elevation"', "path": '"elevation.tif"'},
    "campaign.exception": {"date": "2027-04-25"},
    "closed": {"name": '"Parcel"', "corners": "[[-91.7, 47.6], [-91.6, 47.6], [-91.6, 47.7]]"},
    "camera.lens": {"name": '"Long"', "focal_mm": "500.0", "f_number": "5.6", "nearest_m": "3.7"},
    "camera.log": {"name": '"ALDER"'},
    "camera.day": {"date": "2027-04-25"},
}


@dataclass(frozen=True)
class Case:
    """One key, made wrong."""

    table: str
    key: str
    line: str
    says: tuple[str, ...]

    @property
    def name(self) -> str:
        return f"{self.table or 'top'}: {self.line}"

    @property
    def text(self) -> str:
        lines = [self.line] if not self.table else []
        for table, head in HEADS.items():
            said = {key: f"{key} = {value}" for key, value in RIGHT.get(table, {}).items()}
            if table == self.table:
                said[self.key] = self.line
            lines += [head, *said.values()]
        return "\n".join(lines) + "\n"

    @property
    def number(self) -> int:
        return self.text.splitlines().index(self.line) + 1


def tables(noun: type, path: str = "") -> Iterator[tuple[str, Field[Any], Any]]:
    """Every key that a file may hold: its table, its field and its type."""
    hints = get_type_hints(noun, include_extras=True)
    for item in fields(noun):
        if item.name in NOT_IN_FILES:
            continue
        kind, _ = bare(hints[item.name])
        inner = next((arg for arg in (kind, *get_args(kind)) if isinstance(arg, type) and is_dataclass(arg)), None)
        if inner is None:
            yield path, item, hints[item.name]
        else:
            yield from tables(inner, f"{path}.{item.name}".strip("."))


def bare(hint: Any) -> tuple[Any, list[Any]]:
    """The type behind ``Annotated`` and ``| None``, and its limits."""
    limits: list[Any] = []
    while True:
        if hasattr(hint, "__metadata__"):
            limits += hint.__metadata__
            hint = get_args(hint)[0]
        elif type(None) in get_args(hint):
            hint = next(arg for arg in get_args(hint) if arg is not type(None))
        else:
            return hint, limits


def other_types(kind: Any) -> dict[str, str]:
    """Values of another type, and what the message must then ask for."""
    if get_origin(kind) is Literal:
        return {"7": "must be one of", '"no such word"': "must be one of", "true": "must be one of"}
    if get_origin(kind) is tuple:
        return {"7": "a list", '"seven"': "a list"}
    if get_origin(kind) is dict:
        return {"7": "a table", '"seven"': "a table"}
    wrong: dict[Any, dict[str, str]] = {
        float: {'"seven"': "a number", "true": "a number", "[7.0]": "a number"},
        int: {'"seven"': "a whole number", "7.5": "a whole number", "true": "a whole number"},
        bool: {'"yes"': "true or false", "1": "true or false"},
        str: {"7": "a text", "true": "a text", "[]": "a text"},
        date: {'"soon"': "a date", "7.5": "a date", "true": "a date"},
        time: {'"early"': "a time", "[]": "a time"},
    }
    return wrong[kind]


def out_of_range(kind: Any, limits: list[Any]) -> Iterator[tuple[str, str]]:
    for limit in limits:
        if isinstance(limit, Ge):
            yield _number(kind, limit.ge, -1), f"must be at least {limit.ge}"
        elif isinstance(limit, Gt):
            yield _number(kind, limit.gt, 0), f"must be above {limit.gt}"
        elif isinstance(limit, Le):
            yield _number(kind, limit.le, 1), f"must be at most {limit.le}"
        elif isinstance(limit, Lt):
            yield _number(kind, limit.lt, 0), f"must be below {limit.lt}"
        elif isinstance(limit, Len) and kind is not str:
            yield "[]", f"at least {limit.min_length}"
    if kind is float:
        yield "nan", "finite"
        yield "inf", "finite"


def _number(kind: Any, limit: float, step: int) -> str:
    return str(int(limit) + step) if kind is int else str(float(limit) + step * 0.01)


def misspelt(key: str) -> str:
    return key[:-2] + key[-1] + key[-2] if key[-1] != key[-2] else key[:-1]


def cases() -> Iterator[Case]:
    for table, item, hint in tables(TripSettings):
        kind, limits = bare(hint)
        for value, words in other_types(kind).items():
            yield Case(table, item.name, f"{item.name} = {value}", (item.name, words))
        for value, words in out_of_range(kind, limits):
            yield Case(table, item.name, f"{item.name} = {value}", (item.name, words))
        right = RIGHT.get(table, {}).get(item.name, "1")
        missing = (f"{item.name}' is missing",) if item.default is item.default_factory is MISSING else ()
        line = f"{misspelt(item.name)} = {right}"
        yield Case(table, item.name, line, (f"did you mean {item.name!r}?", *missing))


ALL = list(cases())


def test_the_cases_reach_every_table_and_every_key() -> None:
    assert {case.table for case in ALL} == {"", *HEADS}
    assert len({(case.table, case.key) for case in ALL}) == len(list(tables(TripSettings))) > 60
    assert len(ALL) > 250


def test_a_file_with_every_table_right_is_read() -> None:
    trip = parse_trip(Case("", "seed", "seed = 7", ()).text)
    assert trip.seed == 7
    assert trip.camera.lens[0].focal_mm == 500


@pytest.mark.parametrize("case", ALL, ids=lambda case: case.name)
def test_a_wrong_key_is_told_with_its_line_and_what_is_right(case: Case) -> None:
    with pytest.raises(SettingsError) as caught:
        parse_trip(case.text, "trip.toml")
    output = str(caught.value)
    assert output.startswith("trip.toml")
    assert f"line {case.number}: " in output, output
    for words in case.says:
        assert words in output, output
    assert len(output.splitlines()) <= 3, output
    assert "pydantic" not in output
    assert "Input should" not in output


@pytest.mark.parametrize(
    ("say", "words"),
    [
        ({"place.car": '"47.62 north of somewhere"'}, ("47.62 north of somewhere",)),
        ({"place.car": '""'}, ("place",)),
        ({"morning.time_zone": '"America/Chikago"'}, ("America/Chikago", "line")),
        ({"species": '"ruffed_grous"'}, ("ruffed_grous", "ruffed_grouse")),
        ({"ground.region": '"lake_state"'}, ("lake_state", "lake_states")),
        ({"walker.pace": '"irmischer"'}, ("irmischer", "irmischer_clarke_off_path")),
        ({"morning.minutes_per_stop_min": "11"}, ("minutes_per_stop_min", "minutes_per_stop_max")),
        ({"morning.leave_not_before": "08:30:00"}, ("leave_not_before", "back_by")),
        ({"morning.back_by": "04:00:00"}, ("back_by", "04:00")),
    ],
)
def test_a_word_that_nothing_knows_is_one_message_and_nothing_is_written(
    country: Country, run: Run, say: dict[str, str], words: tuple[str, ...]
) -> None:
    trip = country.small_trip(say=say)
    before = {path.name for path in country.folder.iterdir()}
    output = run("plan", trip, "--steps", "50", "--proof", "0")
    assert output.code == 2
    assert output.out == ""
    fault = [line for line in output.err.splitlines() if not line.startswith("[")]
    assert len(fault) == 1, output.err
    assert fault[0].startswith("hushwalk: ")
    for word in words:
        assert word in fault[0]
    assert {path.name for path in country.folder.iterdir()} == before


@pytest.mark.parametrize(
    "content",
    [
        b"\xff\xfe[place]",
        b"[place\nname",
        b"place = 3\n",
        b"",
        b"[place]\n[place]\n",
        b"seed = 1\nseed = 2\n",
        b"\x00" * 9,
    ],
)
def test_what_is_no_trip_file_is_one_message(country: Country, run: Run, content: bytes) -> None:
    path = country.folder / "trip.toml"
    path.write_bytes(content)
    for command in ("plan", "check", "habitat"):
        output = run(command, path)
        assert output.code == 2
        assert output.err.startswith("hushwalk: ")
        assert "trip.toml" in output.err
        assert "Traceback" not in output.err


def test_a_folder_in_the_place_of_the_trip_file_is_told(country: Country, run: Run) -> None:
    output = run("plan", country.folder)
    assert output.code == 2
    assert "trip.toml" in output.err or "folder" in output.err or "directory" in output.err

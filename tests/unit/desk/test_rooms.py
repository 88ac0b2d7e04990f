"""The rooms of the desk, asked by an HTTP client: notes in, birds shared out, results given, a trip started.

What takes long is not asked here; tests/browser/test_desk_rooms.py does that in a real browser.
"""

import asyncio
import importlib.util
import json
import shutil
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote_to_bytes

import pytest
from starlette.types import ASGIApp

from hushwalk.desk.app import desk_app
from hushwalk.desk.country_work import country_work
from hushwalk.desk.desk_state import Desk
from hushwalk.desk.guard import KEY_HEADER, Keys
from hushwalk.desk.phone import phone_app
from hushwalk.desk.planner import StoppedError
from hushwalk.desk.take_room import result_file
from hushwalk.notes.ledger import read_notes
from hushwalk.progress import quiet
from hushwalk.site.layers_found import layers_found

_spec = importlib.util.spec_from_file_location("made_region", Path(__file__).parents[2] / "made_region.py")
made_region = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(made_region)
HOST = "127.0.0.1:8123"
HOSTILE = (
    "../../evil.csv",
    "..\\..\\evil.csv",
    "<img src=x onerror=alert(1)>.csv",
    "a\x00b\u202e.csv",
    "",
    ".",
    "x" * 400,
)
BOMB = b"""<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">
<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]>
<gpx version="1.1" creator="&c;"><wpt lat="47" lon="-90"><name>&c;</name></wpt></gpx>"""


@dataclass
class Answer:
    status_code: int
    headers: dict[str, str]
    content: bytes

    @property
    def text(self) -> str:
        return self.content.decode()

    def json(self) -> Any:
        return json.loads(self.content)


@dataclass
class Client:
    """Asks an application as a server hands questions on; no socket is opened."""

    app: ASGIApp
    headers: dict[str, str]

    def ask(self, method: str, address: str, content: bytes) -> Answer:
        path, _, query = address.partition("?")
        headers = {**self.headers, "host": HOST, "content-length": str(len(content))}
        connection = {
            "type": "http",
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": unquote_to_bytes(path).decode(),
            "raw_path": path.encode(),
            "query_string": query.encode(),
            "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
            "server": ("x", 1),
        }
        sent: list[Any] = []
        asked = False

        async def receive() -> dict[str, Any]:
            nonlocal asked
            if asked:
                await asyncio.Event().wait()  # the client stays until it is answered
            asked = True
            return {"type": "http.request", "body": content, "more_body": False}

        async def send(message: Any) -> None:
            sent.append(message)

        asyncio.run(self.app(connection, receive, send))
        told = {name.decode(): value.decode() for name, value in sent[0]["headers"]}
        return Answer(sent[0]["status"], told, b"".join(message.get("body", b"") for message in sent[1:]))

    def get(self, address: str) -> Answer:
        return self.ask("GET", address, b"")

    def post(self, address: str, content: bytes = b"{}") -> Answer:
        return self.ask("POST", address, content)


class Room:
    """A client that was let in, and the desk that it asks; nothing is planned."""

    def __init__(self, folder: Path) -> None:
        keys = Keys()
        self.folder, self.desk, self.replanned = folder, Desk(folder), 0
        self.desk.trip.take_up()
        self.desk.replan = self._count  # type: ignore[method-assign]
        said = {KEY_HEADER: keys.page_key, "origin": f"http://{HOST}", "cookie": f"hushwalk_8123={keys.cookie}"}
        self.client = Client(desk_app(self.desk, keys, (HOST,)), said)

    def _count(self) -> None:
        self.replanned += 1

    def ask(self, path: str, said: dict[str, Any] | None = None, status: int = 200) -> Any:
        answer = self.client.post(f"/api/{path}", json.dumps(said or {}).encode())
        assert answer.status_code == status, answer.text
        return answer.json()

    def send(self, name: str, content: bytes, status: int = 200) -> Any:
        answer = self.client.post(f"/api/notes/file?name={quote(name)}", content)
        assert answer.status_code == status, answer.text
        return answer.json()

    def birds(self) -> list[tuple[str, bool]]:
        rows = read_notes(self.folder / "notes.gpkg", "bearing")
        return [(row.note.bird, row.note.pinned) for row in rows]


def kept(folder: Path) -> set[str]:
    """Names of what lies in a folder, besides the history and its journal."""
    return {path.name for path in folder.iterdir() if not path.name.startswith("desk_history.sqlite")}


@pytest.fixture
def room(tmp_path: Path, demo_folder: Path) -> Iterator[Room]:
    shutil.copy(demo_folder / "trip.toml", tmp_path)
    made = Room(tmp_path)
    yield made
    made.desk.history.close()


@pytest.fixture
def country(tmp_path: Path, demo_folder: Path) -> Iterator[Room]:
    """A folder with layers and no trip."""
    for path in (*demo_folder.glob("*.tif"), demo_folder / "country.gpkg", demo_folder / "closed.geojson"):
        shutil.copy(path, tmp_path)
    made = Room(tmp_path)
    yield made
    made.desk.history.close()


def test_typed_lines_are_noted_listed_mended_and_struck(room: Room) -> None:
    good = '085T 06:12 b2 at="47.38, -90.35"\n085T 06:20 b2 at="47.381, -90.351"'
    said = room.ask("notes/write", {"lines": f"{good}\n<script>alert(1)</script> nonsense", "day": "2027-04-24"})
    assert len(said["notes"]) == 2
    assert len(said["refused"]) == len(said["unread"]) == 1
    assert room.replanned == 1
    key = said["notes"][0]["key"]
    said = room.ask("notes/mend", {"key": key, "words": "095T"})
    assert any("095" in one["words"] for one in said["notes"])
    said = room.ask("notes/strike", {"key": said["unread"][0]["key"]})
    assert said["unread"] == []
    assert "no note in notes.gpkg" in room.ask("notes/strike", {"key": "zzzz"}, 422)["fault"]
    assert room.ask("notes/write", {"lines": "085", "day": "someday"}, 422)["fault"].startswith("'someday' is no day")
    room.ask("notes/write", {"day": "2027-04-24"}, 400)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_file_of_any_name_is_read_aside_and_leaves_nothing_else(room: Room, demo_folder: Path, name: str) -> None:
    content = (demo_folder / "bearings.csv").read_bytes()
    said = room.send(name if name.endswith(".csv") else f"{name}.csv", content)
    assert len(said["notes"]) == 34  # 23 bearings and 11 visits, data_demo/README.md
    assert kept(room.folder) == {"trip.toml", "notes.gpkg"}
    assert not list(room.folder.parent.glob("evil*"))
    again = room.send(name if name.endswith(".csv") else f"{name}.csv", content)
    assert "0 new" in again["words"][-1]
    assert str(room.folder) not in str(again["words"])
    assert ".taken" not in str(again["words"]), "the folder that it was read in is nobody's business"
    assert again["days"] == ["2027-04-23"]


@pytest.mark.parametrize("content", [BOMB, b"\xff\xfe\x00\x01", b"<gpx><wpt lat='x'/>", b"", b"a,b\n1,2\n"])
@pytest.mark.parametrize("name", ["walk.gpx", "walk.csv", "walk.txt"])
def test_a_file_that_is_none_is_one_fault_or_no_note(room: Room, name: str, content: bytes) -> None:
    answer = room.client.post(f"/api/notes/file?name={name}", content)
    assert answer.status_code in {200, 422}
    assert answer.json().get("fault") or answer.json()["notes"] == []
    assert not list(room.folder.glob(".taken*"))


def test_a_file_that_is_too_large_is_refused(room: Room) -> None:
    assert room.client.post("/api/notes/file?name=x.csv", b"0" * 20_000_001).status_code == 413


def test_bearings_are_merged_split_and_kept(room: Room, demo_folder: Path) -> None:
    room.send("bearings.csv", (demo_folder / "bearings.csv").read_bytes())
    rows = read_notes(room.folder / "notes.gpkg", "bearing")
    keys = [row.uid for row in rows if row.note.bird in {"B09", "B61"}]
    names = sorted({row.note.bird for row in rows})
    room.ask("notes/share", {"keys": keys, "bird": "B09", "birds": names})
    assert [pinned for bird, pinned in room.birds() if bird == "B09"] == [True] * len(keys)
    assert "B61" not in {bird for bird, _ in room.birds()}
    key = next(row.uid for row in read_notes(room.folder / "notes.gpkg", "bearing") if row.note.bird == "B20")
    room.ask("notes/share", {"keys": [key], "bird": "", "birds": names})
    assert ("B1", True) in room.birds(), "a bird of its own gets the first name that is free"
    room.ask("notes/share", {"keys": ["<b>"], "bird": "B1", "birds": []}, 422)
    room.ask("notes/share", {"keys": [key]}, 400)


def test_work_that_is_not_known_is_refused_and_no_search_is_noted_before_one(room: Room) -> None:
    assert "knows no work" in room.ask("notes/work", {"name": "__init__"}, 422)["fault"]
    assert "no search was planned" in room.ask("notes/searched", {"numbers": [1]}, 422)["fault"]


def test_only_results_are_given_and_a_page_is_cut_off_from_the_desk(room: Room) -> None:
    out = room.folder / "out" / "2027-04-24"
    out.mkdir(parents=True)
    for name in ("map.html", "sheet_a4.pdf", "walk.gpx", "secret.txt"):
        (out / name).write_text(name)
    (out / "link.html").symlink_to(room.folder / "trip.toml")
    (room.folder / "out" / "elsewhere").symlink_to(room.folder.parent)
    page = room.client.get("/files/out/2027-04-24/map.html")
    assert page.text == "map.html"
    assert "sandbox" in page.headers["content-security-policy"]
    assert "allow-same-origin" not in page.headers["content-security-policy"]
    assert room.client.get("/files/out/2027-04-24/walk.gpx").headers["content-disposition"].startswith("attachment")
    assert room.client.get("/files/out/2027-04-24/sheet_a4.pdf").headers["content-disposition"].startswith("inline")
    for name in ("secret.txt", "link.html", "none.html", "..%2f..%2ftrip.toml", "../../desk_history.sqlite"):
        assert room.client.get(f"/files/out/2027-04-24/{name}").status_code == 404
    assert result_file(room.folder, "trip.toml") is None
    (room.folder.parent / "own.html").write_text("x")
    assert result_file(room.folder, "out/elsewhere/own.html") is None
    (folder,) = room.ask("files")["folders"]
    assert [Path(name).name for name in folder["files"]] == ["map.html", "sheet_a4.pdf", "walk.gpx"]


def test_a_phone_is_given_what_was_written_and_nothing_without_the_token(tmp_path: Path) -> None:
    out = tmp_path / "out" / "2027-04-24"
    out.mkdir(parents=True)
    (out / "map.html").write_text("the page")
    (out / "summary.json").write_text("{}")
    (tmp_path / "trip.toml").write_text("secret")
    phone = Client(phone_app(tmp_path, "abcdefghjk"), {})
    assert 'href="out/2027-04-24/map.html"' in phone.get("/abcdefghjk/").text
    assert phone.get("/abcdefghjk/out/2027-04-24/map.html").text == "the page"
    for path in ("/", "/abcdefghjx/", "/abcdefghjx/out/2027-04-24/map.html", "/abcdefghjk/trip.toml"):
        assert phone.get(path).status_code == 404
    assert phone.get("/abcdefghjk/out/2027-04-24/summary.json").status_code == 404
    assert phone.get("/abcdefghjk/out/..%2ftrip.toml").status_code == 404
    assert phone.post("/abcdefghjk/").status_code == 405


def test_a_place_is_told_at_once_and_a_trip_starts_there(country: Room) -> None:
    told = dict(country.ask("country/place", {"text": "15T 700075 5250765"})["rows"])
    assert told["clock"] == "America/Chicago"
    assert told["map grid"].startswith("15T YN 00075 50765")
    assert set(told) == {"place", "map grid", "clock", "sunrise", "region", "season"}
    assert "cannot be read" in country.ask("country/place", {"text": "<b>here"}, 422)["fault"]
    for at in ([91, 0], [float("1e300"), 0]):
        assert country.ask("country/place", {"at": at}, 422)["fault"]
    country.ask("country/place", {"at": "x"}, 400)
    news = country.ask("country/begin", {"at": [47.37967, -90.34941], "name": '"]\n[walker]\npace="'})
    assert news["version"] == 1
    trip = tomllib.loads((country.folder / "trip.toml").read_text(encoding="utf-8"))
    assert trip["place"]["car"] == "47.379670, -90.349410"
    assert {layer["kind"] for layer in trip["layer"]} >= {"elevation", "cover", "streams", "trails", "roads", "closed"}


def test_a_region_gives_the_day_the_base_and_the_trip_of_a_place(tmp_path: Path) -> None:
    made_region.make_region(tmp_path)
    made = Room(tmp_path)
    try:
        told = dict(made.ask("country/place", {"at": [46.93, -92.92]})["rows"])
        assert told["sunrise"].endswith("Sunday 25 April 2027")
        base = country_work("base", str(tmp_path), {}, quiet)
        assert base["words"] == ["The map shows Made country."]
        assert [one["key"] for one in base["ground"]["layers"] if one["key"] == "trails" and one["parts"]]
        near = country_work("base", str(tmp_path), {"at": [46.935, -92.962]}, quiet)
        assert near["road"] == "on or beside a road"
        fault = made.ask("country/begin", {"at": [46.0, -90.0]}, 422)["fault"]
        assert "no layer of heights that areas.toml names reaches" in fault
        assert kept(tmp_path) == {"areas.toml", "cover.tif", "dem.tif", "country.gpkg"}
        assert made.ask("country/begin", {"at": [46.93, -92.92]})["version"] == 1
    finally:
        made.desk.history.close()


def test_an_empty_folder_has_no_base_and_says_what_is_needed(tmp_path: Path) -> None:
    for said in ({}, {"at": [47.0, -90.0]}):
        base = country_work("base", str(tmp_path), said, quiet)
        assert base["ground"] is None
        assert "elevation.tif" in base["words"][0]


def test_what_was_stopped_is_no_fault(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    async def stopped(*_: Any) -> Any:
        raise StoppedError("the planning was stopped")

    monkeypatch.setattr(room.desk, "work_out", stopped)
    assert room.ask("notes/work", {"name": "fix"}) == {"stopped": True}


def test_without_layers_no_trip_starts_and_the_network_waits_for_its_switch(tmp_path: Path) -> None:
    made = Room(tmp_path)
    try:
        assert "no layers" in made.ask("country/begin", {"at": [47.0, -90.0]}, 422)["fault"]
        for network in (False, "yes", 1, None):
            fault = made.ask("country/gather", {"at": [47.0, -90.0], "network": network}, 422)["fault"]
            assert "switch the network on" in fault
        assert "no areas.toml" in made.ask("country/areas", {}, 422)["fault"]
        assert kept(tmp_path) == set()
    finally:
        made.desk.history.close()


def test_layers_are_told_by_their_names(tmp_path: Path, demo_folder: Path) -> None:
    found = layers_found(demo_folder)
    trip = tomllib.loads((demo_folder / "trip.toml").read_text(encoding="utf-8"))
    assert set(found.kinds) >= {layer["kind"] for layer in trip["layer"]}
    assert found.middle == pytest.approx((-90.349, 47.379), abs=0.01)  # its car, in the middle
    (tmp_path / "elevation.tif").write_bytes(b"no raster")
    (tmp_path / "roads.gpkg").symlink_to(demo_folder / "country.gpkg")
    assert layers_found(tmp_path).kinds == ()

"""The application of a desk, asked as a page would and as no page would: hostile words change nothing."""

import asyncio
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from hushwalk.desk.app import desk_app
from hushwalk.desk.desk_state import Desk
from hushwalk.desk.guard import Keys
from hushwalk.desk.page import desk_page

HOST = "127.0.0.1:8123"
TRIP = """\
[place]
name = "</script><script>alert(1)</script>"
car = "47.62, -91.70"
[morning]
date = 2027-04-25
back_by = 09:30:00
[[layer]]
kind = "elevation"
path = "heights.tif"
"""


class Asked:
    """A desk that plans nothing, and what it answers."""

    def __init__(self, folder: Path) -> None:
        self.keys, self.path = Keys(), folder / "trip.toml"
        self.path.write_text(TRIP)
        self.desk = Desk(folder)
        self.desk.trip.take_up()
        self.desk.replan = lambda: None  # type: ignore[method-assign]
        self.app = desk_app(self.desk, self.keys, (HOST,))

    def ask(self, path: str, body: bytes, method: str = "POST") -> tuple[int, dict[str, str], bytes]:
        sent: list[Any] = []
        headers = {
            "host": HOST,
            "origin": f"http://{HOST}",
            "cookie": f"hushwalk_8123={self.keys.cookie}",
            "x-hushwalk-key": self.keys.page_key,
            "content-length": str(len(body)),
        }
        request = {
            "type": "http",
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": path,
            "raw_path": path.encode(),
            "query_string": b"",
            "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
            "server": ("127.0.0.1", 8123),
        }

        async def receive() -> dict[str, Any]:
            return {"type": "http.request", "body": body, "more_body": False}

        async def send(message: dict[str, Any]) -> None:
            sent.append(message)

        asyncio.run(self.app(request, receive, send))
        told = {name.decode(): value.decode() for name, value in sent[0]["headers"]}
        return sent[0]["status"], told, b"".join(message.get("body", b"") for message in sent[1:])

    def say(self, path: str, said: Any) -> tuple[int, Any]:
        status, _, body = self.ask(path, json.dumps(said).encode())
        return status, json.loads(body)


@pytest.fixture
def asked(tmp_path: Path) -> Iterator[Asked]:
    made = Asked(tmp_path)
    yield made
    made.desk.history.close()


HOSTILE = {
    "cut off": b"{",
    "list": b"[]",
    "number": b"3",
    "no text": b"\xff",
    "text": b'"x"',
    "deep": b"[" * 100_000,
    "huge": b'{"version": ' + b"9" * 400 + b"}",
}


@pytest.mark.parametrize("body", HOSTILE.values(), ids=HOSTILE.keys())
@pytest.mark.parametrize("path", ["/api/change", "/api/go", "/api/name", "/api/kept"])
def test_what_is_no_question_is_refused(asked: Asked, path: str, body: bytes) -> None:
    status, _, answer = asked.ask(path, body)
    assert status in {400, 422}
    assert "fault" in json.loads(answer)
    assert asked.path.read_text() == TRIP


@pytest.mark.parametrize(
    "said",
    [
        {"kind": "add stop", "at": [float("nan"), 1e999]},
        {"kind": "add stop", "at": ["47.6", {}]},
        {"kind": "set reserve", "reserve": -3},
        {"kind": "set wind", "wind_at_ear_ms": float("nan")},
        {"kind": "set hours", "back_by": "25:00"},
        {"kind": "set hours", "date": "yesterday"},
        {"kind": "close ground", "places": [[1, 2]]},
        {"kind": "__init__"},
        {"kind": ["x"]},
    ],
)
def test_a_change_that_cannot_be_is_one_message_and_changes_nothing(asked: Asked, said: dict[str, Any]) -> None:
    status, answer = asked.say("/api/change", said)
    assert status == 422
    assert answer["fault"]
    assert asked.path.read_text() == TRIP
    assert len(asked.desk.history.versions()) == 1


def test_a_change_undone_and_done_again(asked: Asked) -> None:
    status, news = asked.say("/api/change", {"kind": "set reserve", "reserve": 0.2})
    assert (status, news["version"], news["undo"], news["redo"]) == (200, 2, 1, None)
    assert news["trip"]["reserve"] == 0.2
    _, news = asked.say("/api/undo", {})
    assert (news["version"], news["undo"], news["redo"]) == (1, None, 2)
    assert asked.path.read_text() == TRIP
    _, news = asked.say("/api/undo", {})
    assert news["version"] == 1, "there is nothing before the first version"
    _, news = asked.say("/api/redo", {})
    assert news["version"] == 2
    _, versions = asked.say("/api/name", {"version": 2, "name": "slow\u202e\nwalk" * 60})
    assert len(versions["versions"][1]["name"]) <= 120
    assert asked.say("/api/go", {"version": 77})[1]["version"] == 2


def test_the_page_holds_nothing_of_the_trip_and_runs_only_what_its_policy_names(asked: Asked) -> None:
    status, told, body = asked.ask("/", b"", "GET")
    assert status == 200
    page, policy = body.decode(), told["content-security-policy"]
    assert "alert(1)" not in page
    assert policy == desk_page(asked.keys.page_key).policy
    assert "unsafe" not in policy
    assert len(re.findall(r"<script", page)) == len(re.findall("'sha256-", policy.split("style-src")[0]))
    assert not re.search(r"""<[^>]+\s(style|on[a-z]+)=""", page.partition("<script>")[0])
    words = re.sub(r"<script>.*?</script>", "", page, flags=re.DOTALL)
    assert not re.search(r"""(src|href)=["']?(https?:)?//""", words)

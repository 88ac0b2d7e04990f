"""Who is let in: a token that works once, then cookie and key; other hosts and origins are refused on every request."""

import asyncio
from typing import Any

import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route

from hushwalk.desk.guard import MOST_BYTES, Guard, Keys

HOST = "127.0.0.1:8123"
Headers = dict[str, str]


class Browser:
    """Sends requests to a guarded application, as raw as any program on the machine could."""

    def __init__(self) -> None:
        async def said(request: Request) -> PlainTextResponse:
            return PlainTextResponse(f"{request.method} {request.url.path}")

        routes = [Route("/", said), Route("/api/change", said, methods=["GET", "POST"]), Route("/files/map.html", said)]
        self.keys = Keys()
        self.app = Guard(Starlette(routes=routes), self.keys, (HOST, "localhost:8123"), "default-src 'none'")

    def ask(self, path: str, method: str = "GET", **headers: str) -> tuple[int, Headers]:
        sent: list[Any] = []
        given = {"host": HOST, **{name.replace("_", "-"): value for name, value in headers.items()}}
        path, _, query = path.partition("?")
        request = {
            "type": "http",
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": path,
            "raw_path": path.encode(),
            "query_string": query.encode(),
            "headers": [(name.encode(), value.encode()) for name, value in given.items()],
            "server": ("127.0.0.1", 8123),
        }

        async def receive() -> dict[str, Any]:
            return {"type": "http.request", "body": b"", "more_body": False}

        async def send(message: dict[str, Any]) -> None:
            sent.append(message)

        asyncio.run(self.app(request, receive, send))
        answer = {name.decode(): value.decode() for name, value in sent[0]["headers"]}
        return sent[0]["status"], answer

    @property
    def cookie(self) -> str:
        return f"{self.app.cookie_name}={self.keys.cookie}"

    def let_in(self) -> Headers:
        return {"cookie": self.cookie, "x_hushwalk_key": self.keys.page_key}


@pytest.fixture
def browser() -> Browser:
    return Browser()


def test_the_token_lets_one_browser_in_once(browser: Browser) -> None:
    status, answer = browser.ask(f"/?token={browser.keys.token}")
    assert (status, answer["location"]) == (303, "/")
    cookie = answer["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert browser.ask("/", cookie=browser.cookie)[0] == 200
    assert browser.ask(f"/?token={browser.keys.token}")[0] == 403


@pytest.mark.parametrize("token", ["", "x", "é", "a" * 4000])
def test_a_wrong_token_is_refused_and_does_not_spend_the_right_one(browser: Browser, token: str) -> None:
    assert browser.ask(f"/?token={token}")[0] == 403
    assert browser.ask(f"/?token={browser.keys.token}")[0] == 303


def test_without_the_cookie_or_with_another_nothing_is_answered(browser: Browser) -> None:
    for cookie in ("", "x=y", f"{browser.app.cookie_name}=wrong"):
        for path in ("/", "/api/change", "/files/map.html"):
            assert browser.ask(path, cookie=cookie, x_hushwalk_key=browser.keys.page_key)[0] == 403


def test_what_changes_anything_needs_the_key_of_the_page_and_its_origin(browser: Browser) -> None:
    own, origin = browser.let_in(), f"http://{HOST}"
    assert browser.ask("/api/change", "POST", origin=origin, **own)[0] == 200
    assert browser.ask("/api/change", "POST", **own)[0] == 403
    assert browser.ask("/api/change", "POST", origin=origin, cookie=browser.cookie)[0] == 403
    assert browser.ask("/api/change", cookie=browser.cookie)[0] == 403


@pytest.mark.parametrize(
    "origin", ["null", "http://127.0.0.1:9999", "https://127.0.0.1:8123", "http://example.org", "http://localhost:8123"]
)
def test_another_origin_is_refused(browser: Browser, origin: str) -> None:
    for method in ("GET", "POST"):
        assert browser.ask("/api/change", method, origin=origin, **browser.let_in())[0] == 403
    assert browser.ask(f"/?token={browser.keys.token}", origin=origin)[0] == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_a_page_from_elsewhere_is_refused_where_the_browser_says_so(browser: Browser, site: str) -> None:
    assert browser.ask("/", cookie=browser.cookie, sec_fetch_site=site)[0] == 403


@pytest.mark.parametrize("host", ["", "example.org", "127.0.0.1", "127.0.0.1:80", "evil.localhost:8123", "[::1]:8123"])
def test_another_host_is_refused(browser: Browser, host: str) -> None:
    """A name that points to this machine (DNS rebinding) is not the desk's."""
    assert browser.ask("/", **{**browser.let_in(), "host": host})[0] == 421
    assert browser.ask(f"/?token={browser.keys.token}", host=host)[0] == 421


def test_every_answer_is_closed_to_other_pages(browser: Browser) -> None:
    for status, answer in (browser.ask("/", cookie=browser.cookie), browser.ask("/"), browser.ask("/nowhere")):
        assert status in {200, 403}
        assert answer["content-security-policy"] == "default-src 'none'"
        assert answer["x-content-type-options"] == "nosniff"
        assert answer["x-frame-options"] == "DENY"
        assert answer["cache-control"] == "no-store"
        assert not [name for name in answer if name.startswith("access-control-")]


def test_a_body_that_is_too_large_or_of_unknown_length_is_refused(browser: Browser) -> None:
    own = {**browser.let_in(), "origin": f"http://{HOST}"}
    for length in (str(MOST_BYTES + 1), "-1", "many"):
        assert browser.ask("/api/change", "POST", content_length=length, **own)[0] == 413
    assert browser.ask("/api/change", "POST", transfer_encoding="chunked", **own)[0] == 413

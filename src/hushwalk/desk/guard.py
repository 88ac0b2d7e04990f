"""Who may ask the desk anything: one browser that came with the token, from the desk's own page.

What is answered is the rooms' business.
"""

import hmac
import secrets
from collections.abc import Iterable
from dataclasses import dataclass, field

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

KEY_HEADER = "x-hushwalk-key"
"""Definition: the header in which the page sends the key that was written into it."""
MOST_BYTES = 20_000_000  # judgement: a long GPX track of a season has a tenth of this
COOKIE_S = 30 * 24 * 3600  # judgement: longer than any desk stays open
PAGES, FILES = ("/",), "/files/"
"""Addresses that a browser opens by itself, without the key of the page."""
REFUSED = (
    "this address was used before, or is wrong; take the newest one that the terminal shows, or start the desk anew"
)


@dataclass
class Keys:
    """What a browser must show: the token of the address, once; then a cookie, and the key that the page holds."""

    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    cookie: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    page_key: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    spent: bool = False

    def spend(self, token: str) -> bool:
        """Take the token of an address; true only the first time, and only for the right one."""
        good = not self.spent and same(token, self.token)
        self.spent = self.spent or good
        return good


def same(one: str, other: str) -> bool:
    """Tell whether two secrets are the same, in a time that says nothing about them."""
    return hmac.compare_digest(one.encode("utf-8", "replace"), other.encode("utf-8", "replace"))


class Guard:
    """Refuses every request that does not come from the desk's own page in the browser that was let in.

    Parameters
    ----------
    app : what is guarded.
    keys : that a browser must show.
    hosts : names and ports under which the desk is reached, such as ``127.0.0.1:8123``.
    policy : the content security policy of the desk's own page.
    """

    def __init__(self, app: ASGIApp, keys: Keys, hosts: Iterable[str], policy: str) -> None:
        self.app, self.keys, self.hosts, self.policy = app, keys, frozenset(hosts), policy

    @property
    def cookie_name(self) -> str:
        """Name of the cookie; browsers share cookies between ports, so that it holds the port."""
        return f"hushwalk_{min(self.hosts).rpartition(':')[2]}"

    async def __call__(self, connection: Scope, receive: Receive, send: Send) -> None:
        """Answer a request that may pass, and refuse all others."""
        if connection["type"] == "lifespan":
            await self.app(connection, receive, send)
            return
        if connection["type"] != "http":  # nothing here speaks over web sockets
            return
        request = Request(connection, receive)
        refusal = self._refusal(request)
        if refusal is not None:
            await refusal(connection, receive, self._with_headers(send))
            return
        await self.app(connection, receive, self._with_headers(send))

    def _refusal(self, request: Request) -> Response | None:
        headers, path = request.headers, request.url.path
        if (refusal := self._from_elsewhere(headers, request.method)) is not None:
            return refusal
        token = request.query_params.get("token")
        if token is not None and path == "/":
            return self._let_in(token)
        if not same(request.cookies.get(self.cookie_name, ""), self.keys.cookie):
            return _refused(REFUSED, 403)
        opened = path in PAGES or path.startswith(FILES)
        if not opened and not same(headers.get(KEY_HEADER, ""), self.keys.page_key):
            return _refused("the page is older than the desk; load it anew", 403)
        return None

    def _from_elsewhere(self, headers: Headers, method: str) -> Response | None:
        host = headers.get("host", "")
        if host not in self.hosts:
            return _refused("the desk answers only under its own address", 421)
        if not self._own_origin(headers, host, method):
            return _refused("the desk answers only its own page", 403)
        return None if _small(headers) else _refused(f"more than {MOST_BYTES // 1_000_000} MB are not read", 413)

    def _own_origin(self, headers: Headers, host: str, method: str) -> bool:
        origin, site = headers.get("origin"), headers.get("sec-fetch-site")
        if site is not None and site not in {"same-origin", "none"}:
            return False
        if origin is None:
            return method in {"GET", "HEAD"}
        return origin == f"http://{host}"

    def _let_in(self, token: str) -> Response:
        if not self.keys.spend(token):
            return _refused(REFUSED, 403)
        answer = RedirectResponse("/", status_code=303)
        # kept, so that a browser that was closed or killed comes back to the same desk; a new desk has new keys
        answer.set_cookie(
            self.cookie_name, self.keys.cookie, max_age=COOKIE_S, httponly=True, samesite="strict", path="/"
        )
        return answer

    def _with_headers(self, send: Send) -> Send:
        async def answer(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.setdefault("content-security-policy", self.policy)
                headers["x-content-type-options"] = "nosniff"
                headers["referrer-policy"] = "no-referrer"
                headers["cross-origin-opener-policy"] = "same-origin"
                headers["cross-origin-resource-policy"] = "same-origin"
                headers["x-frame-options"] = "DENY"
                headers.setdefault("cache-control", "no-store")
            await send(message)

        return answer


def _small(headers: Headers) -> bool:
    said = headers.get("content-length", "0")
    return said.isdigit() and int(said) <= MOST_BYTES and "chunked" not in headers.get("transfer-encoding", "")


def _refused(words: str, status: int) -> Response:
    return PlainTextResponse(f"hushwalk: {words}\n", status_code=status)

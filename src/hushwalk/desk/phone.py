"""What a phone on the same network may open where a person asked for it: the written pages, sheets and GPS files.

It answers at an address of its own, cut off from the desk: nothing can be asked or changed there. TLS is not given.
"""

import secrets
import socket
from pathlib import Path

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from hushwalk.desk.guard import same
from hushwalk.desk.take_room import file_answer, result_file, written_folders

SIGNS, LENGTH = "abcdefghjkmnpqrstuvwxyz23456789", 10
"""Judgement: signs that are not taken for each other on a small screen, and so many that nobody guesses them."""
NOWHERE = ("192.0.2.1", 9)
"""Definition: an address for documents (RFC 5737); nothing is sent there, the system only says by which way."""
PHONE_POLICY = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'"
)
HEADERS = {"cache-control": "no-store", "referrer-policy": "no-referrer", "x-content-type-options": "nosniff"}
FOR_PHONES = (".html", ".pdf", ".gpx", ".kml")


def new_token() -> str:
    """Give a token that can be typed on a phone."""
    return "".join(secrets.choice(SIGNS) for _ in range(LENGTH))


def own_address() -> str:
    """Give the address of this machine on its network; that of the machine itself where there is none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(NOWHERE)
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"


def phone_app(folder: Path, token: str) -> ASGIApp:
    """Give the application that a phone asks.

    Parameters
    ----------
    folder : of the trip.
    token : the first part of every address that is answered.
    """
    here = folder.resolve()

    async def answer(request: Request) -> Response:
        name = request.path_params["name"]
        if not same(request.path_params["token"], token):
            return PlainTextResponse("hushwalk: there is nothing here\n", status_code=404, headers=HEADERS)
        if not name:
            return HTMLResponse(_list(here), headers={**HEADERS, "content-security-policy": PHONE_POLICY})
        path = result_file(here, name)
        if path is None or path.suffix not in FOR_PHONES:
            return PlainTextResponse("hushwalk: there is no such result\n", status_code=404, headers=HEADERS)
        given = file_answer(path, PHONE_POLICY if path.suffix == ".html" else "frame-ancestors 'none'")
        given.headers.update(HEADERS)
        return given

    return Starlette(routes=[Route("/{token}/{name:path}", answer)])


def _list(folder: Path) -> str:
    folders = [
        {"name": one["name"], "files": [(name, Path(name).name) for name in one["files"] if name.endswith(FOR_PHONES)]}
        for one in written_folders(folder)
    ]
    environment = Environment(loader=PackageLoader("hushwalk.desk"), autoescape=True, undefined=StrictUndefined)
    return environment.get_template("phone.html").render(folders=folders)

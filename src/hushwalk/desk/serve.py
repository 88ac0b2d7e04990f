"""Runs the desk on this machine: an address, a token, one server, until Ctrl-C.

What it answers is app.py's business.
"""

import socket
from collections.abc import Callable
from pathlib import Path
from threading import Thread

import uvicorn
from starlette.types import ASGIApp

from hushwalk.desk.app import desk_app
from hushwalk.desk.desk_state import Desk
from hushwalk.desk.guard import Keys
from hushwalk.desk.phone import new_token, own_address, phone_app
from hushwalk.errors import InputError, SettingsError

HERE = "127.0.0.1"
ANYWHERE = "0.0.0.0"  # noqa: S104 - only where a person asked for phones, and only what phone.py gives
GRACE_S = 1  # judgement: how long open questions of the page may take once the desk is ended


def serve_desk(folder: Path, port: int, ready: Callable[[str, str], None], *, lan: bool = False) -> None:
    """Serve the desk of a folder until it is ended.

    Parameters
    ----------
    folder : whose trip file is the document.
    port : to listen on; 0 for any that is free.
    ready : is called with the address once it answers, and with that for phones, or nothing.
    lan : whether phones on the same network may open what was written, and nothing else.

    Raises
    ------
    InputError
        If the folder is none.
    SettingsError
        If the port is taken.
    OutputError
        If another desk holds the folder.
    """
    if not folder.is_dir():
        raise InputError(f"{folder} is no folder; name one that is there, which may be empty")
    with socket.socket() as listener, socket.socket() as phones:
        number = _bound(listener, HERE, port)
        keys, hosts = Keys(), (f"{HERE}:{number}", f"localhost:{number}")
        desk = Desk(folder)
        if lan:
            desk.phone = _phones_served(phones, folder)
        listener.listen()
        ready(f"http://{HERE}:{number}/?token={keys.token}", desk.phone)
        _server(desk_app(desk, keys, hosts)).run(sockets=[listener])


def _phones_served(phones: socket.socket, folder: Path) -> str:
    """Serve what was written to phones, in a thread that ends with the desk; give the address."""
    token, number = new_token(), _bound(phones, ANYWHERE, 0)
    phones.listen()
    server = _server(phone_app(folder, token))
    Thread(target=server.run, kwargs={"sockets": [phones]}, daemon=True).start()
    return f"http://{own_address()}:{number}/{token}/"


def _bound(listener: socket.socket, address: str, port: int) -> int:
    """Take a port; give its number."""
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((address, port))
    except OSError as fault:
        raise SettingsError(f"port {port} cannot be used ({fault.strerror}); take another, or --port 0") from None
    return int(listener.getsockname()[1])


def _server(app: ASGIApp) -> uvicorn.Server:
    config = uvicorn.Config(
        app,
        log_level="critical",
        access_log=False,
        server_header=False,
        date_header=False,
        ws="none",
        timeout_graceful_shutdown=GRACE_S,
    )
    return uvicorn.Server(config)

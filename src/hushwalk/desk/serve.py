"""Runs the desk on this machine: an address, a token, one server, until Ctrl-C.

What it answers is app.py's business.
"""

import socket
from collections.abc import Callable
from pathlib import Path

import uvicorn

from hushwalk.desk.app import desk_app
from hushwalk.desk.desk_state import Desk
from hushwalk.desk.guard import Keys
from hushwalk.errors import InputError, SettingsError

HERE = "127.0.0.1"
GRACE_S = 1  # judgement: how long open questions of the page may take once the desk is ended


def serve_desk(folder: Path, port: int, ready: Callable[[str], None]) -> None:
    """Serve the desk of a folder until it is ended.

    Parameters
    ----------
    folder : whose trip file is the document.
    port : to listen on; 0 for any that is free.
    ready : is called with the address once it answers.

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
    with socket.socket() as listener:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((HERE, port))
        except OSError as fault:
            raise SettingsError(f"port {port} cannot be used ({fault.strerror}); take another, or --port 0") from None
        number = listener.getsockname()[1]
        keys, hosts = Keys(), (f"{HERE}:{number}", f"localhost:{number}")
        desk = Desk(folder)
        config = uvicorn.Config(
            desk_app(desk, keys, hosts),
            log_level="critical",
            access_log=False,
            server_header=False,
            date_header=False,
            ws="none",
            timeout_graceful_shutdown=GRACE_S,
        )
        listener.listen()
        ready(f"http://{HERE}:{number}/?token={keys.token}")
        uvicorn.Server(config).run(sockets=[listener])

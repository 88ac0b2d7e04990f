"""How a room answers: what the page says goes in as a table, what comes out is JSON, a fault is one clear message.

What is answered is the rooms' business.
"""

import json
from collections.abc import Awaitable, Callable
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from hushwalk.desk.desk_state import Desk
from hushwalk.desk.planner import StoppedError
from hushwalk.errors import HushwalkError
from hushwalk.text import message

Answer = Callable[[Desk, dict[str, Any]], Awaitable[dict[str, Any]]]
Take = Callable[[Desk, str, bytes], Awaitable[dict[str, Any]]]
NOT_READ = "the desk could not read what the page said"


def answering(answer: Answer) -> Callable[[Request], Awaitable[Response]]:
    """Turn a function of the desk and what the page says into an end point of the application.

    Parameters
    ----------
    answer : gives a table; it may raise any HushwalkError, whose words the page shows.

    Returns
    -------
    callable
        Of a request.
    """

    async def end_point(request: Request) -> Response:
        return await _answered(request, lambda desk, body: answer(desk, _table(body)))

    return end_point


def receiving(take: Take) -> Callable[[Request], Awaitable[Response]]:
    """Turn a function of the desk, a file's name and its content into an end point of the application.

    Parameters
    ----------
    take : gives a table; it may raise any HushwalkError, whose words the page shows.

    Returns
    -------
    callable
        Of a request.
    """

    async def end_point(request: Request) -> Response:
        return await _answered(request, lambda desk, body: take(desk, request.query_params.get("name", ""), body))

    return end_point


async def _answered(request: Request, work: Callable[[Desk, bytes], Awaitable[dict[str, Any]]]) -> Response:
    try:
        return JSONResponse(await work(request.app.state.desk, await request.body()))
    except StoppedError:  # the person's own wish, or because something newer is wanted: no fault
        return JSONResponse({"stopped": True})
    except HushwalkError as fault:
        return JSONResponse({"fault": message(str(fault))}, status_code=422)
    except (ValueError, KeyError, TypeError, OverflowError, RecursionError):
        return JSONResponse({"fault": NOT_READ}, status_code=400)


def _table(body: bytes) -> dict[str, Any]:
    said = json.loads(body or b"{}")
    if not isinstance(said, dict):
        raise TypeError(NOT_READ)
    return said

"""How a room answers: what the page says goes in as a table, what comes out is JSON, a fault is one clear message.

What is answered is the rooms' business.
"""

import json
from collections.abc import Awaitable, Callable
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from hushwalk.desk.desk_state import Desk
from hushwalk.errors import HushwalkError
from hushwalk.text import message

Answer = Callable[[Desk, dict[str, Any]], Awaitable[dict[str, Any]]]
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
        desk: Desk = request.app.state.desk
        try:
            said = json.loads(await request.body() or b"{}")
            if not isinstance(said, dict):
                return JSONResponse({"fault": NOT_READ}, status_code=400)
            return JSONResponse(await answer(desk, said))
        except HushwalkError as fault:
            return JSONResponse({"fault": message(str(fault))}, status_code=422)
        except (ValueError, KeyError, TypeError, OverflowError, RecursionError):
            return JSONResponse({"fault": NOT_READ}, status_code=400)

    return end_point

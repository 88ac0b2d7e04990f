"""After the walk: notes, birds, the search, logs, the season and the filming, as the commands give them.

The walk itself is morning_room.py's.
"""

from starlette.routing import Route

ROUTES: list[Route] = []

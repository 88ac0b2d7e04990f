"""Take it along: sheet, GPX, KML and page of the plan that stands, written as the command line writes them.

The plan itself is morning_room.py's.
"""

from starlette.routing import Route

ROUTES: list[Route] = []

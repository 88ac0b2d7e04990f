"""Choose the country: what the page asks before there is a trip, and of the place of the car.

The morning on that ground is morning_room.py's.
"""

from starlette.routing import Route

ROUTES: list[Route] = []

"""The sky and the weather expected on a day: what the person typed for it, else what the trip file says of every day.

What the light makes of it is log_light.py's business.
"""

from dataclasses import dataclass, replace
from datetime import date

from hushwalk.hearing.availability import Rain, Weather
from hushwalk.site.camera_settings import CameraSettings, Sky


@dataclass(frozen=True)
class DayForecast:
    """What is expected of one day; None and empty where nothing was typed for it."""

    sky: Sky | None = None
    rain: Rain | None = None
    wind_ms: float | None = None

    def weather(self, usual: Weather) -> Weather:
        """Give what the birds feel of it; what was not typed is as usual."""
        return replace(
            usual,
            rain=usual.rain if self.rain is None else self.rain,
            wind_ms=usual.wind_ms if self.wind_ms is None else self.wind_ms,
        )


def expected_on(camera: CameraSettings, day: date) -> DayForecast:
    """Give what the trip file expects of a day."""
    row = next((one for one in camera.day if one.date == day), None)
    return DayForecast() if row is None else DayForecast(row.sky, row.rain, row.wind_at_ear_ms)

"""What of the weather of a trip was taken from a forecast.

Reading the forecast is forecast.py's business; what a file says of the weather is in settings.py.
"""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True)
class ForecastUse:
    """The forecast that the weather of a trip was taken from.

    Parameters
    ----------
    label, credit : the service, and the sentence of credit.
    made_at : when the forecast was made.
    lead_h : how long before the walk that was [h].
    wind_ms, gust_ms : wind at 10 m over open ground in the hours of the walk, and its strongest gust [m/s].
    taken : keys of [weather] that it gives.
    day : of the morning.
    """

    label: str
    credit: str
    made_at: datetime
    lead_h: float
    wind_ms: float
    gust_ms: float | None
    taken: tuple[str, ...]
    day: date

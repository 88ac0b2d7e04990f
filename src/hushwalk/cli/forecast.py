"""`hushwalk forecast`: the weather of the morning from an open forecast, and the best morning of the next week.

Asking is gather/weather.py's business, the ranking morning/mornings_ahead.py's.
"""

from datetime import date
from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP, settings_of
from hushwalk.progress import Step


@click.command(name="forecast")
@TRIP
@LAYERS
@click.option("--contact", envvar="HUSHWALK_CONTACT", default="", help="Your address, told to the service.")
@click.option("--offline", is_flag=True, help="Take the answer of an earlier run.")
def command(trip: Path, layers: Path | None, contact: str, offline: bool) -> None:
    r"""Ask an open forecast for the mornings of TRIP, keep it beside the trip file, and rank the next seven mornings.

    The National Weather Service in the United States, MET Norway elsewhere. `plan` then takes wind at the ear,
    temperature, humidity, rain and air from it where [weather] of the trip file does not say them.

    \b
    Example:
      hushwalk forecast north_ridge/trip.toml --contact me@example.org
    """
    settings = settings_of(trip, layers)

    from hushwalk.gather.transport import AskParams, Transport, kept_folder
    from hushwalk.gather.weather import ask_forecast
    from hushwalk.morning.mornings_ahead import mornings_ahead
    from hushwalk.site.forecast import write_forecast
    from hushwalk.site.site import car_height_m, read_site
    from hushwalk.wording.forecast_words import forecast_sentences, mornings_words

    transport = Transport(kept_folder(), AskParams(contact=contact, offline=offline))
    with progress_on_stderr() as progress:
        progress(Step("reading the layers"))
        site = read_site(settings)
        lon, lat, height_m = car_height_m(settings, site)
        progress(Step("asking for the forecast"))
        forecast = ask_forecast(lat, lon, height_m, transport)
        path = write_forecast(trip.parent, forecast)
    click.echo(mornings_words(mornings_ahead(settings, site, forecast, date.today())))  # noqa: DTZ011 - the person's day
    now = settings_of(trip, layers)
    for line in forecast_sentences(now) or (
        f"it does not reach {settings.morning.date}, the morning of the trip file",
    ):
        click.echo(line)
    click.echo(f"wrote {path}; plan with it: hushwalk plan {trip}")

"""What a raster of the ground shows, in a sentence for whoever opens it without this program.

The rasters are outputs/ground/geotiffs.py's.
"""

from hushwalk.habitat.needs import Need
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site

SHOWS = {
    "suitability": "How good the ground is for the {species}, 0..1 of the best ground there is",
    "males_per_km2": "Displaying males of the {species} per km2, the middle figure",
    "males_per_km2_low": "Displaying males of the {species} per km2, the low figure: fewer one time of ten",
    "males_per_km2_high": "Displaying males of the {species} per km2, the high figure: more one time of ten",
    "earshot_m": (
        "Effective detection radius of an ear that listens for the {species}, in metres: as many displays are missed "
        "within it as are heard beyond it. For {evidence} evidence, {air} air, wind of {wind:.1f} m/s at the ear, "
        "{snow} snow"
    ),
}
ROLES = {
    "limiting": "the suitability is multiplied by it, to the power of {weight:g}",
    "compensating": "it makes up {weight:.0%} of the mean of the needs that make up for each other",
}


def ground_sentences(site: Site, settings: TripSettings, name: str, need: Need | None = None) -> str:
    """Say what a raster shows, in which unit, and what is assumed in it.

    Parameters
    ----------
    site : the ground of the trip.
    settings : what the trip file says.
    name : of the raster.
    need : that it scores or measures; None for the others.

    Returns
    -------
    str
        One line.
    """
    if need is None:
        weather = settings.weather
        return (
            SHOWS[name].format(
                species=site.card.name,
                evidence=settings.walker.evidence,
                air=weather.air,
                wind=weather.wind_at_ear_ms,
                snow="no" if weather.snow == "none" else weather.snow,
            )
            + "."
        )
    assumed = " Assumed, not found." if need.assumed else ""
    if name.startswith("measured_"):
        return f"{_capital(need.label)}, as measured, unit {site.habitat.surface.measured[need.key].unit}.{assumed}"
    role = ROLES[need.role].format(weight=site.habitat.surface.weights[need.key])
    return f"{_capital(need.label)}, scored 0..1; {role}.{assumed}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]

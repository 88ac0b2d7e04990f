"""The cautions that every sheet carries, in words.

Nothing is computed here; what applies is chosen from the settings.
"""

from hushwalk.site.settings import TripSettings

ALWAYS = (
    "Tell someone where the car stands, the way you go and when you will be back. There may be no signal.",
    "You walk in the dark. Carry two lamps, a compass and this sheet on paper; turn back at the times given.",
    "The map may be wrong or old: water, cliffs, fences, felled timber. What you see goes before what is printed.",
    "Land may be private or closed. Only local law and the owner decide; ask, and keep out of hatched ground.",
    (
        "Spring hunting seasons run at dawn in many places. Learn the dates, wear blaze orange while walking, "
        "and never red, white, blue or black near your face."
    ),
    "A displaying male leaves his log when walked up to. Keep {stand_off:.0f} m off; if he falls silent, back away.",
    "No playback, no decoys, no cutting of stems, no drones. Keep off nests; dogs stay at home.",
    "Keep the places of logs to yourself: shared, they are soon trampled or shot over.",
)
SNOW = "Ice on ponds and streams is not to be trusted in spring. The route never crosses open water; nor should you."
DARK = "Off-trail walking before civil dawn is allowed in this plan. Go slowly, and protect your eyes from twigs."
COLD = "Standing still at {temperature:.0f} °C chills quickly: dry layers for each stop, a hot drink."
BY_DAY = "Look at a new place by day first: whether a car may stand there, whose land it is, gates, ice and deep water."
KEPT_WHEN_SCOUTING = (0, 2, 3, 4, 7)


def scouting_cautions() -> tuple[str, ...]:
    """Give the cautions for picking new ground, one sentence each."""
    return (BY_DAY, *(ALWAYS[k] for k in KEPT_WHEN_SCOUTING))


def cautions(settings: TripSettings) -> tuple[str, ...]:
    """Give the cautions for a trip, one sentence each."""
    lines = [line.format(stand_off=settings.walker.stand_off_m) for line in ALWAYS]
    weather = settings.weather
    if weather.snow != "none" or weather.snow_cover_share > 0 or weather.temperature_c <= 0:
        lines.append(SNOW)
    if settings.morning.off_trail_in_the_dark:
        lines.append(DARK)
    if weather.temperature_c <= 5:  # noqa: PLR2004 - judgement: where a still person feels the cold within minutes
        lines.append(COLD.format(temperature=weather.temperature_c))
    return tuple(lines)

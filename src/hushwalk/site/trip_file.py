"""Reads trip.toml into settings and says with line numbers what is wrong with it.

What the settings mean lives in settings.py, the words for a fault in setting_faults.py; the commented file that
`hushwalk start` writes is starter.py's.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast

from pydantic import TypeAdapter, ValidationError

from hushwalk.errors import SettingsError
from hushwalk.site.checked import replaced_unchecked
from hushwalk.site.day_of_trip import day_meant
from hushwalk.site.forecast import with_forecast
from hushwalk.site.setting_faults import FILE_NAMES, NOT_IN_FILES, fault_words, listed, where_words
from hushwalk.site.settings import LayerSettings, MorningSettings, TripSettings, named_layers
from hushwalk.site.species import path_of_card
from hushwalk.site.time_zone import zone_at
from hushwalk.site.toml_lines import Location, key_lines
from hushwalk.site.toml_text import settings_text, tables_of

Noun = TypeVar("Noun")


def read_trip(path: Path, day: date | int | None = None) -> TripSettings:
    """Read a trip file.

    Parameters
    ----------
    path : the TOML file.
    day : in place of ``morning.date``, as :func:`hushwalk.site.day_of_trip.day_meant` takes it; None for that.

    Returns
    -------
    TripSettings
        With ``folder`` set to the folder of the file, and the weather that is forecast for the day.

    Raises
    ------
    MissingFileError
        If the file is not there.
    SettingsError
        If it is no TOML, or a key or a value cannot be used; every fault is listed, each with its line.
    """
    text = settings_text(path, f"there is no trip file {path}; write one with: hushwalk start {path.parent}")
    return trip_of_text(text, path, day)


def trip_of_text(text: str, path: Path, day: date | int | None = None) -> TripSettings:
    """Turn the text of a trip file into settings as :func:`read_trip` does, whatever the file itself says by now.

    Parameters
    ----------
    text : of the trip file.
    path : where it lies; its layers are named from that folder.
    day : date, or number of a day of the campaign; None for the day that the file names.

    Returns
    -------
    TripSettings
        With the forecast of that day, where there is one.

    Raises
    ------
    SettingsError
        As for :func:`read_trip`.
    """
    settings, folder = parse_trip(text, str(path)), path.resolve().parent
    settings = replace(settings, folder=folder, species=path_of_card(settings.species, folder))
    if day is not None:
        settings = replace(settings, morning=replace(settings.morning, date=day_meant(settings, day)))
    given = {str(key[1]) for key in key_lines(text) if key[0] == "weather" and len(key) > 1}
    return with_forecast(settings, given)


def parse_trip(text: str, file_name: str = "trip.toml") -> TripSettings:
    """Turn the text of a trip file into settings.

    Raises
    ------
    SettingsError
        As for :func:`read_trip`.
    """
    settings = parse_settings(text, file_name, TripSettings)
    lines = key_lines(text)
    if not settings.morning.time_zone:
        morning = with_zone_of(settings.morning, settings.place.car)
        settings = replace(settings, morning=morning, zone_derived=True)
    faults: list[str] = []
    try:
        check_morning(settings.morning, lines, file_name)
    except SettingsError as fault:
        faults.append(str(fault))
    try:
        check_layers(settings.layers, lines, file_name)
    except SettingsError as fault:
        faults.append(str(fault))
    if faults:
        raise SettingsError(listed(faults, file_name))
    return settings


def whole_trip(settings: TripSettings) -> TripSettings:
    """Give settings that were made in Python what a file is given when it is read: the time zone, where it is left out.

    Raises
    ------
    SettingsError
        If no morning can be planned on that day there, or the species card that is named is not there.
    PlaceError
        If the place of the car cannot be read.
    """
    settings = replace(settings, species=path_of_card(settings.species, settings.folder))
    if settings.morning.time_zone:
        return settings
    morning = with_zone_of(settings.morning, settings.place.car)
    check_morning(morning, {}, "MorningSettings")
    return replace(settings, morning=morning, zone_derived=True)


def with_zone_of(morning: MorningSettings, place: str) -> MorningSettings:
    """Take the time zone of a morning from a place.

    Raises
    ------
    PlaceError
        If the place cannot be read.
    """
    from hushwalk.grid.points import parse_place  # noqa: PLC0415 - most files name their zone

    return replaced_unchecked(morning, time_zone=zone_at(*parse_place(place)))  # its reader names lines


def parse_settings(text: str, file_name: str, noun: type[Noun]) -> Noun:
    """Turn the text of a TOML file into settings of any kind.

    Parameters
    ----------
    text, file_name : what the file says, and how to name it.
    noun : a frozen dataclass; its fields of ``NOT_IN_FILES`` a file may not name.

    Returns
    -------
    the noun that was asked for
        Checked.

    Raises
    ------
    SettingsError
        If it is no TOML, or a key or a value cannot be used; every fault is listed, each with its line.
    """
    tables = tables_of(text, file_name)
    for key in NOT_IN_FILES.keys() & tables.keys():
        raise SettingsError(f"{file_name}: unknown key {key!r}; {NOT_IN_FILES[key]}")
    renamed = {FILE_NAMES.get(key, key): value for key, value in tables.items()}
    try:
        read: Noun = _reader(cast("Any", noun)).validate_json(json.dumps(renamed, default=str))
    except ValidationError as fault:
        raise SettingsError(fault_words(fault, noun, file_name, tables, key_lines(text))) from None
    return read


@cache
def _reader(noun: Any) -> TypeAdapter[Any]:  # noqa: ANN401  any hashable class of settings
    return TypeAdapter(noun)


def check_layers(layers: Sequence[LayerSettings], lines: Mapping[Location, int], name: str) -> None:
    """Check that every key of a layer has an effect for its kind, and that its filter can be read.

    Parameters
    ----------
    layers : as the file names them.
    lines : line of each key in the file.
    name : of the file.

    Raises
    ------
    SettingsError
        With every key that has none, and every fault of a filter.
    """
    faults = [
        f"{name}: {where_words(('layer', number, key), lines)}{words}"
        for number, (label, spec) in enumerate(named_layers(layers))
        for key, words in spec.faults(label)
    ]
    if faults:
        raise SettingsError(listed(faults, name))


def check_morning(morning: MorningSettings, lines: Mapping[Location, int], name: str) -> None:
    """Check what the keys of a morning say together.

    Parameters
    ----------
    morning : what the file says of the morning.
    lines : line of each key in the file.
    name : of the file.

    Raises
    ------
    SettingsError
        If the time zone is none, or two keys contradict each other.
    """
    for key, words in morning.faults():
        raise SettingsError(f"{name}: {where_words(('morning', key), lines)}{words}")

"""Places as people write them: degrees, UTM and the United States National Grid, read and written.

The projection itself stands in utm.py and is handed on from here.
"""
# ruff: noqa: PLR2004  degrees of a circle and the edges of zones and bands are definitions

import re
import unicodedata
from functools import cache

import numpy as np
from mgrs import MGRS
from mgrs.core import MGRSError
from numpy.typing import ArrayLike

from hushwalk.errors import PlaceError
from hushwalk.grid.utm import convergence_deg, to_lonlat, to_metres, utm_epsg
from hushwalk.types import FloatArray

__all__ = [
    "FloatArray",
    "convergence_deg",
    "lonlat_text",
    "parse_place",
    "to_lonlat",
    "to_metres",
    "usng_text",
    "utm_epsg",
    "utm_text",
]

BANDS = "CDEFGHJKLMNPQRSTUVWX"
UNDERSTOOD = (
    'understood are degrees "46.79, -92.10", "46.79 N 92.10 W", "46° 47.4\' N 92° 06.0\' W" (latitude first),'
    ' UTM "15T 568690 5182221" and USNG "15T WM 68690 82221"'
)
_SIGNS = str.maketrans(
    {
        **dict.fromkeys("\u2212\u2010\u2011\u2012\u2013\u2014", "-"),  # minus, hyphens and dashes
        **dict.fromkeys(
            "\u00b0\u00ba\u02da\u00b4\u2032\u2018\u2019\u02b9\u2033\u201c\u201d\u02ba'\"", " "
        ),  # marks of degree, minute, second
        "\u00a0": " ",
        "\u202f": " ",
    }
)
_UTM = re.compile(
    r"(?:UTM\s+)?(?:ZONE\s+)?(\d{1,2})\s*([C-HJ-NP-X]|NORTH|SOUTH)[\s,]+(\d{6}(?:\.\d*)?)\s*M?\s*E?"
    r"[\s,]+(\d{1,8}(?:\.\d*)?)\s*M?\s*N?"
)
_USNG = re.compile(r"(\d{1,2})\s*([C-HJ-NP-X])\s*([A-HJ-NP-Z][A-HJ-NP-V])\s*(\d*)(?:\s+(\d+))?")
_ANGLE = re.compile(r"([NSEW])?\s*([+-])?\s*(\d+(?:\.\d*)?)(?:\s+(\d+(?:\.\d*)?))?(?:\s+(\d+(?:\.\d*)?))?\s*([NSEW])?")


def parse_place(text: str) -> tuple[float, float]:
    """Read a place from text.

    Parameters
    ----------
    text : decimal degrees, degrees with minutes (and seconds), UTM with a band or hemisphere letter, or USNG.
        Degrees are latitude first unless N, S, E, W say otherwise.

    Returns
    -------
    tuple of float
        Longitude and latitude on WGS 84 [deg]. A USNG square gives its middle.

    Raises
    ------
    PlaceError
        If the text is none of these, or its parts contradict each other.

    Notes
    -----
    In UTM the letter S is read as the band (32..40 N) where the northing fits that band, else as the southern half.

    References
    ----------
    fgdc_std_011_2001, nga_sig_0012_2014

    Examples
    --------
    >>> parse_place("46° 47.4' N, 92° 06.0' W")
    (-92.1, 46.79)
    """
    plain = " ".join(unicodedata.normalize("NFC", text).translate(_SIGNS).upper().split())
    if utm := _UTM.fullmatch(plain):
        return _from_utm(text, *utm.groups())
    if usng := _USNG.fullmatch(plain):
        return _from_usng(text, *usng.groups(default=""))
    return _from_degrees(text, plain)


def _from_utm(text: str, zone: str, letter: str, east: str, north: str) -> tuple[float, float]:
    if not 1 <= int(zone) <= 60:
        raise PlaceError(f"place {text!r}: UTM zones run from 1 to 60, got {int(zone)}")
    fits_band_s = 3_540_000 <= float(north) <= 4_432_000  # northings of 32..40 N, from the middle to the zone edge
    south = letter == "SOUTH" or (letter == "S" and not fits_band_s) or letter in "CDEFGHJKLM"
    lon, lat = to_lonlat((32700 if south else 32600) + int(zone), [float(east), float(north)]).tolist()
    if not -80 <= lat <= 84:
        raise PlaceError(f"place {text!r}: northing {north} lies beyond the ends of UTM; {UNDERSTOOD}")
    if letter in "CDEFGHJKLMPQRTUVWX" and abs(BANDS.index(letter) - BANDS.index(_band(lat))) > (lat % 8 < 0.01):
        raise PlaceError(
            f"place {text!r}: northing {north} lies in band {_band(lat)}, not {letter}; one of the two is mistyped"
        )
    return lon, lat


def _from_usng(text: str, zone: str, band: str, square: str, east: str, north: str) -> tuple[float, float]:
    if not north and len(east) % 2 == 0:
        east, north = east[: len(east) // 2], east[len(east) // 2 :]
    if len(east) != len(north) or not 2 <= len(east) <= 5:
        raise PlaceError(
            f"place {text!r}: a USNG place needs the same number of digits, 2 to 5, for easting and northing;"
            f" got {len(east)} and {len(north)}"
        )
    padded = [(digits + "5000")[:5] for digits in (east, north)]
    epsg = (32600 if band >= "N" else 32700) + int(zone)
    try:
        lat, lon = _mgrs().toLatLon(f"{int(zone):02d}{band}{square}{padded[0]}{padded[1]}")
        corner_m = np.floor((to_metres(epsg, [lon, lat]) + 0.1) / 1e5) * 1e5  # of the square of 100 km
        cell_m = 10.0 ** (5 - len(east))
        lon, lat = to_lonlat(epsg, corner_m + (np.array([float(east), float(north)]) + 0.5) * cell_m).tolist()
    except (MGRSError, PlaceError):
        raise PlaceError(f"place {text!r}: there is no square {square} in zone {zone}{band}; {UNDERSTOOD}") from None
    return lon, lat


def _from_degrees(text: str, plain: str) -> tuple[float, float]:
    halves = [_ANGLE.fullmatch(half) for half in _halves(plain)]
    if len(halves) != 2 or halves[0] is None or halves[1] is None:
        raise PlaceError(f"place {text!r} cannot be read; {UNDERSTOOD}")
    first, second = (_angle(text, *half.groups()) for half in halves if half)
    if first[1] and second[1] and (first[1] in "NS") == (second[1] in "NS"):
        raise PlaceError(f"place {text!r} gives {first[1]} and {second[1]}: one of N, S and one of E, W is expected")
    swapped = first[1] in ("E", "W") or second[1] in ("N", "S")
    lat, lon = (second[0], first[0]) if swapped else (first[0], second[0])
    if abs(lat) > 90:
        hint = f'; latitude comes first: did you mean "{lon:g}, {lat:g}"?' if abs(lon) <= 90 and not swapped else ""
        raise PlaceError(f"place {text!r}: latitude {lat:g} is not in -90..90{hint}")
    if abs(lon) > 180:
        raise PlaceError(f"place {text!r}: longitude {lon:g} is not in -180..180")
    return lon, lat


def _halves(plain: str) -> list[str]:
    if ";" in plain or "," in plain:
        return [half.strip() for half in plain.split(";" if ";" in plain else ",")]
    if before := re.fullmatch(r"([NSEW][^NSEW]+)([NSEW][^NSEW]+)", plain):
        return [half.strip() for half in before.groups()]
    if after := re.fullmatch(r"([^NSEW]+[NSEW])([^NSEW]+[NSEW])", plain):
        return [half.strip() for half in after.groups()]
    words = re.sub(r"([+-])\s+", r"\1", plain).split(" ")
    return [" ".join(words[: len(words) // 2]), " ".join(words[len(words) // 2 :])] if len(words) % 2 == 0 else []


def _angle(
    text: str, before: str | None, sign: str | None, deg: str, minute: str | None, second: str | None, after: str | None
) -> tuple[float, str]:
    if (before and after) or (sign and (before or after)):
        raise PlaceError(f"place {text!r} gives a direction twice; write either a sign or one of N, S, E, W")
    if ("." in deg and minute) or (minute and "." in minute and second):
        raise PlaceError(f"place {text!r}: only the last of degrees, minutes, seconds may have decimals")
    if float(minute or 0) >= 60 or float(second or 0) >= 60:
        raise PlaceError(f"place {text!r}: minutes and seconds must be below 60")
    letter = before or after or ""
    size = float(deg) + float(minute or 0) / 60 + float(second or 0) / 3600
    return (-size if sign == "-" or letter in ("S", "W") else size), letter


def _band(lat_deg: float) -> str:
    return BANDS[min(int((lat_deg + 80) // 8), len(BANDS) - 1)]


@cache
def _mgrs() -> MGRS:
    return MGRS()


def utm_text(epsg: int, xy_m: ArrayLike) -> str:
    """Write one place as UTM: zone and band, easting, northing.

    Parameters
    ----------
    epsg : 326zz or 327zz.
    xy_m : shape (2,) easting and northing [m].

    Returns
    -------
    str
        Whole metres, cut and not rounded, so that they agree with the grid reference.

    Raises
    ------
    PlaceError
        If the system is not UTM on WGS 84, or the point lies beyond it.

    Examples
    --------
    >>> utm_text(32615, (568690.47, 5182221.23))
    '15T 568690 5182221'
    """
    zone, half = epsg % 100, epsg // 100
    if half not in {326, 327} or not 1 <= zone <= 60:
        raise PlaceError(f"EPSG:{epsg} is not UTM on WGS 84 (EPSG:32601..32660, 32701..32760)")
    _, lat = to_lonlat(epsg, xy_m).tolist()
    east, north = np.floor(np.round(np.asarray(xy_m, dtype=float), 3)).astype(int)
    return f"{zone:02d}{_band(lat)} {east:06d} {north:07d}"


def usng_text(lonlat: ArrayLike, digits: int = 10) -> str:
    """Write one place on the United States National Grid (and the military grid, which agrees with it on WGS 84).

    Parameters
    ----------
    lonlat : shape (2,) longitude and latitude [deg].
    digits : 4, 6, 8 or 10 for a square of 1 km, 100 m, 10 m or 1 m.

    Returns
    -------
    str
        Such as ``"15T WM 68690 82221"``; digits are cut and never rounded, in the zone that holds the place.

    Raises
    ------
    PlaceError
        If the digits are none of these, or the place lies beyond UTM.

    References
    ----------
    fgdc_std_011_2001

    Examples
    --------
    >>> usng_text((-92.1, 46.79), digits=8)
    '15T WM 6869 8222'
    """
    if digits not in {4, 6, 8, 10}:
        raise PlaceError(f"a USNG reference has 4, 6, 8 or 10 digits, got {digits}")
    lon, lat = np.asarray(lonlat, dtype=float).tolist()
    utm_epsg(lon, lat)
    nudge_deg = 5e-9  # half a millimetre, so that a place on a whole metre does not fall into the square before it
    text = _mgrs().toMGRS(min(lat + nudge_deg, 84.0), lon + nudge_deg, MGRSPrecision=digits // 2)
    return f"{text[:3]} {text[3:5]} {text[5 : 5 + digits // 2]} {text[5 + digits // 2 :]}"


def lonlat_text(lonlat: ArrayLike) -> str:
    """Write one place as degrees and minutes to 0.001', the way a handheld receiver shows it.

    Parameters
    ----------
    lonlat : shape (2,) longitude and latitude [deg].

    Returns
    -------
    str
        Latitude first.

    Examples
    --------
    >>> lonlat_text((-92.1, 46.79))
    "N46° 47.400' W092° 06.000'"
    """
    lon, lat = np.asarray(lonlat, dtype=float).tolist()
    north, east = ("N" if lat >= 0 else "S"), ("E" if lon >= 0 else "W")
    return f"{north}{_degrees_minutes(lat, 2)} {east}{_degrees_minutes(lon, 3)}"


def _degrees_minutes(angle_deg: float, width: int) -> str:
    degrees, thousandths = divmod(round(abs(angle_deg) * 60_000), 60_000)
    return f"{degrees:0{width}d}° {thousandths / 1000:06.3f}'"

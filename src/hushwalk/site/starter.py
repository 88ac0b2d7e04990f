"""The commented trip file that a new trip starts from.

Reading it back is trip_file.py's business.
"""

import json
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from hushwalk.errors import OutputError

STARTER = """\
# One morning's walk. Times are wall-clock times at the place; lengths are metres unless the key says otherwise.
# Every line that starts with # is a remark, or shows a key with the value it has when it is left out.

species = "ruffed_grouse"      # `hushwalk species` lists the cards; or a card of your own beside this file: "my.toml"
# units = "us"                 # what you read: feet, yards, miles, acres and Fahrenheit, or "metric"; where it is left
#                              # out, as in the country of the car (files for machines are metric always)
seed = 1                       # the same seed and the same files give the same walk

[place]
name = "North end of the two-track"
car = "47.6200, -91.7000"      # where the car stands: degrees, or "15T 597700 5274900", or "15TWN9770074900"

[morning]
date = 2027-04-25
back_by = 09:30:00             # back at the car not later than this
# time_zone = "America/Chicago"   # derived from the place of the car where it is left out
# leave_not_before = 04:30:00
# minutes_per_stop_min = 3
# minutes_per_stop_max = 10
# longest_walk_km = 12.0
# off_trail_in_the_dark = false   # true lets the walk leave trails and roads before civil dawn
# stops_max = 30
# way = "listen and close in"  # or "listen and cross"; chosen by earshot and the males expected where it is left out
# closing_in_minutes = 85      # kept free to go nearer to a bird that was heard; 0 for none

[ground]
reach_m = 2500.0               # half the side of the square of country round the car
# cell_m = 10.0
# stop_from_houses_m = 100.0   # nobody stands and listens nearer to a house than this
# walk_from_houses_m = 60.0    # nor walks off roads and trails nearer than this
# private_ways = "cross"       # off the path they are crossed the short way; "walk" with leave of the owners
# region = "lake_states"       # assumed from the place of the car where it is left out; `hushwalk species` lists them
# cycle = "unknown"            # assumed where it is left out; or "peak" or "low" year of the ten-year cycle
# network = false              # true lets a layer path be an http(s) address

[walker]
# pace = "irmischer_clarke_off_path"
# traveller = "foot"          # or "snowshoes": slower on bare ground, quicker in deep snow, not on steep ground
# pace_factor = 1.0            # 1.2 = you take 20 % longer than the published walker
# off_path_factor = 1.0        # your time off paths, on top of that; `hushwalk pace` learns all four from tracks
# climb_factor = 1.0           # on what height adds uphill
# dark_factor = 1.0            # in the dark
# reserve = 0.15               # walking times are planned this share longer, so that you are back in time
# evidence_weights = [0.5, 0.3, 0.2]  # of earshots of 300, 153 and 73 m; a plan is for all at once
# evidence = "focal"           # "middle" or "pessimistic": plan with that earshot alone
# hearing_offset_db = 0.0      # better (+) or worse (-) ears than the average; `hushwalk listener` learns these five
# bearing_error_deg = 15.0
# bearing_bias_deg = 0.0       # mean error of your bearings, clockwise above 0; it is taken off every bearing
# bearing_shared_deg = 5.0     # error that all bearings to one bird on one morning share
# bearing_strays = 0.05        # share of your bearings that point anywhere
# compass = "magnetic"         # or "true", where your compass is set to the declination, or "grid"
# stand_off_m = 80.0           # never plan a stop nearer than this to ground that probably holds a log

[wishes]                       # what you decide; the plan says what it costs in males and minutes
# must = []                    # stops that must be, as ["47.6231, -91.7052"]
# must_not = []                # places where no stop must be
# not_across = []              # lines that nobody crosses, as [["47.62, -91.71", "47.63, -91.70"]]
# start = "47.6150, -91.7120"  # where you are set down, if not at the car, to which you walk back
# shorter_minutes = 0          # back so much sooner than by back_by
# other_way_back = false       # true asks for a loop: another way back than the way out

# [campaign]                   # several mornings planned together
# days = [2027-04-25, 2027-04-26]
# evenings = [2027-04-25]      # days whose evenings are walked, too
# cars = ["47.6231, -91.7052"] # further places where the car may stand; each day takes the best
# [[campaign.exception]]       # one day that differs: car_at, back_by, leave_not_before, keys of [weather]
# date = 2027-04-26            # evening = true: its evening
# rain = "light"

# [evening]                    # for `hushwalk plan --evening`, the hours before sunset
# back_by = 20:30:00           # at the car; the end of civil twilight where it is left out
# after_dark = false           # true: back an hour after that; the walk back is in the dark then
# leave_not_before = 17:00:00  # three hours before sunset where it is left out
# air = "neutral"              # and all other keys of [weather]; as forecast, or as of the morning, where left out

[search]                       # for `hushwalk search`, late in the morning
# until = 13:00:00             # back at the car; three hours after the search begins where it is left out
# pace_ms = 0.42               # walking and looking
# log_seen_from_m = 6.0        # walk away from any log until its droppings are lost: about 6 in thick growth

[weather]
# wind_at_ear_ms = 0.5         # inside leafless woods about 0.3 of the forecast wind; or what is forecast (10 m, open
# forecast_wind_kmh = 6.0      # ground), also as forecast_wind_ms, _mph or _kn; `hushwalk forecast` asks for it
# snow = "none"                # or "old" (wet, settled) or "fresh" (soft, 30 cm or more)
# air = "calm dawn"            # or "neutral" or "upwind"
# rain = "none"                # or "light" or "steady"
# snow_cover_share = 0.0       # share of the ground that is white
# temperature_c = 2.0
# humidity_pct = 80.0

# Layers: elevation is needed, all others make the plan better. Paths start at this file's folder, or at --layers.

[[layer]]
kind = "elevation"             # a raster of heights in metres
path = "elevation.tif"

[[layer]]
kind = "cover"                 # a raster (or polygons, with `field`) of land-cover classes
path = "cover.tif"
legend = "nlcd"                # `hushwalk legends` lists them; or give your own classes:
# [layer.classes]
# 1 = "aspen"
# 2 = "open_water"

# [[layer]]
# kind = "streams"             # also: water, wetlands, trails, roads, buildings, closed; canopy_cover, canopy_height,
#                              # stand_age
# path = "country.gpkg"
# layer = "streams"            # name of the layer inside the file
# where = "order >= 2"         # only features with such fields: =, !=, <, in (...), and, or, not; texts as 'path'

# Ground that may not be entered can also be drawn here, as [longitude, latitude] corners:
# [[closed]]
# name = "Private parcel"
# corners = [[-91.70, 47.62], [-91.69, 47.62], [-91.69, 47.63]]

# For `hushwalk session`: the camera, the lenses, the light expected, and logs to film at.
# [camera]
# sensor = "full_frame"        # or "aps_c", "aps_c_small", "four_thirds", "super_35_video"
# extenders = []               # factors of the tele-extenders you own, as [1.4, 2.0]
# frame_m = 1.2                # wanted width of the picture at the bird: spread wings and a margin
# iso_max = 6400.0             # the highest ISO that you put up with
# frames_per_s = 50.0          # of the video
# video_crop = 1.0
# sky = "clear"                # or "broken" or "overcast"
# # canopy = "open"            # crowns over the log, else taken from the layers and the season; or "leafless_aspen",
#                              # "leafless_mixed", "leafy_aspen", "leafy_thicket"
# # transmittance = 0.5        # light below the crowns over light in the open, as you measured it
#
# [[camera.lens]]
# name = "500 mm f/5.6"
# focal_mm = 500.0             # of a zoom the longest; widest_mm is then the shortest
# f_number = 5.6               # of a zoom at the long end; f_number_wide at the short end
# nearest_m = 3.7              # nearest focus
#
# [[camera.log]]               # a log, or more about a log of the field notes that has the same name
# name = "ALDER"
# place = "47.6231, -91.7052"
# facing_deg = [100.0]         # where the bird faces, from true north; droppings lie on the other side
# height_m = 0.4               # top of the log above the ground
# skyline = [[60.0, 14.0], [120.0, 8.0]]   # azimuth and height of trees and ridges as seen from the log [deg]
# backdrop_m = { N = 14.0 }    # how far behind the log the next growth stands, by side
# hide_m = { S = 14.0 }        # how far off a hide can stand, by side
# # stands_m = { S = 12.0 }    # where it stands already
# # tripod_m = { S = 0.9 }     # height of the lens there
# # droppings = "fresh pile"   # as in field notes: none, few, old pile, fresh pile
# # view_share = { S = 0.8 }
# # access = ["S"]             # sides from which you come unseen
#
# # [[camera.day]]             # what a forecast says of one day
# # date = 2027-04-25
# # sky = "overcast"
# # rain = "light"
# # wind_at_ear_ms = 1.5
"""


LAYERS_FROM, LAYERS_TO = "# Layers: elevation is needed", "# Ground that may not be entered can also"
"""Where the layers of the commented file begin and end."""


@dataclass(frozen=True)
class KnownTrip:
    """What is known of a trip before a person has written its file.

    Parameters
    ----------
    name, lat_deg, lon_deg : of the place where the car stands.
    day : the morning.
    reach_m : half the side of the square of country [m].
    species : of the card.
    layers : TOML tables of the layers, with remarks.
    """

    name: str
    lat_deg: float
    lon_deg: float
    day: date
    reach_m: float
    species: str
    layers: str


def known_starter(known: KnownTrip) -> str:
    """Give the commented trip file of a trip of which something is known already."""
    said = {
        "name": json.dumps(known.name, ensure_ascii=False),
        "car": f'"{known.lat_deg:.6f}, {known.lon_deg:.6f}"',
        "date": known.day.isoformat(),
        "reach_m": f"{known.reach_m:.1f}",
        "species": json.dumps(known.species),
    }
    head, _, rest = STARTER.partition(LAYERS_FROM)
    lines = []
    for line in head.splitlines():
        key = line.partition(" = ")[0]
        value, gap, remark = line.partition(" = ")[2].partition("  #")
        lines.append(f"{key} = {said.pop(key)}{gap}{remark}" if key in said and value else line)
    tail = rest[rest.index(LAYERS_TO) :]
    return "\n".join(lines) + "\n" + known.layers + "\n" + tail


def write_starter(folder: Path, text: str = STARTER) -> Path:
    """Write a commented trip.toml into a folder, which is made if it is not there.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    OutputError
        If there is a trip.toml already, or the folder cannot be written.
    """
    path = folder / "trip.toml"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise OutputError(f"{path} is there already; move it away or choose another folder") from None
    except OSError as fault:
        raise OutputError(f"{path} cannot be written: {fault.strerror}") from None
    return path

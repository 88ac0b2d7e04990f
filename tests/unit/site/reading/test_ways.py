"""What roads and trails are, from the words of extracts and agencies."""

from typing import Any

import numpy as np
import pytest

from hushwalk.site.reading.ways import traits_of


def said(**fields: Any) -> Any:
    return traits_of({name: np.array([value], dtype=object) for name, value in fields.items()}, 0)


@pytest.mark.parametrize(
    ("fields", "kind", "walked"),
    [
        ({"highway": "motorway"}, "motorway", False),
        ({"highway": "motorway_link"}, "ramp", False),
        ({"CLASS": "INTERSTATE"}, "motorway", False),
        ({"CLASS": "RAMP"}, "ramp", False),
        ({"MTFCC": "S1100"}, "motorway", False),
        ({"highway": "trunk", "motorroad": "yes"}, "motorway", False),
        ({"CLASS": "DRIVE"}, "driveway", False),
        ({"CLASS": "PRIVATE"}, "private", False),
        ({"highway": "service", "service": "driveway"}, "driveway", False),
        ({"highway": "service", "service": "driveway", "access": "yes"}, "driveway", True),
        ({"highway": "service"}, "service", True),
        ({"CLASS": "MINOR"}, "street", True),
        ({"CLASS": "STATE HWY"}, "primary", True),
        ({"highway": "track", "access": "private"}, "track", False),
        ({"highway": "track", "access": "no", "foot": "yes"}, "track", True),
        ({"highway": "path", "foot": "no"}, "path", False),
        ({"highway": "track", "access": "forestry"}, "track", True),
        ({"Type": "WALKING PATH", "PUBLIC": "Y"}, "path", True),
        ({"Type": "WALKING PATH", "PUBLIC": "N"}, "path", False),
        ({"highway": "path", "access:conditional": "no @ (Mar 15-Sep 15)"}, "path", False),
        ({"highway": "construction"}, "none", False),
        ({"NAME": "Mill Road"}, "", True),
        ({"highway": None, "other_tags": None}, "", True),
    ],
)
def test_a_way_is_known_by_the_words_of_its_layer(fields: dict[str, Any], kind: str, *, walked: bool) -> None:
    traits = said(**fields)
    assert (traits.kind, traits.walked) == (kind, walked)


def test_tags_without_a_column_of_their_own_are_read_too() -> None:
    traits = said(highway="track", other_tags='"access"=>"private","bridge"=>"yes","surface"=>"mud"')
    assert (traits.access, traits.level, traits.slow) == ("no", "bridge", True)


@pytest.mark.parametrize(
    ("fields", "level"),
    [({"tunnel": "culvert"}, "tunnel"), ({"bridge": "viaduct"}, "bridge"), ({"bridge": "no"}, ""), ({}, "")],
)
def test_bridges_and_tunnels_are_told_apart(fields: dict[str, str], level: str) -> None:
    assert said(highway="path", **fields).level == level


def test_what_nobody_says_of_access_stays_unsaid() -> None:
    assert said(highway="track").access == ""
    assert said(highway="track", access="agricultural").access == ""


def test_the_field_of_the_class_may_be_named() -> None:
    columns = {"WAYCODE": np.array(["RAMP"], dtype=object), "class": np.array(["MINOR"], dtype=object)}
    assert traits_of(columns, 0, "WAYCODE").kind == "ramp"

"""The grammar of `where`: what it reads, what it refuses and how it says so, and what the reader is given."""

import re

import pytest

from hushwalk.errors import InputError, SettingsError
from hushwalk.files.field_filter import Among, Comparison, Joined, Not, fields_of, parse_filter, reader_filter, render

TYPES = {"highway": "object", "lanes": "int32", "Owner": "object", "seen": "datetime64[ms]"}


def test_a_filter_becomes_a_tree() -> None:
    tree = parse_filter("highway in ('path', 'it''s') and not (lanes >= 2.5 OR \"my \"\"field\" <> 'x')")
    inner = Joined("or", (Comparison("lanes", ">=", 2.5), Comparison('my "field', "!=", "x")))
    assert tree == Joined("and", (Among("highway", ("path", "it's")), Not(inner)))
    assert fields_of(tree) == ("highway", "lanes", 'my "field')
    assert parse_filter(render(tree)) == tree


def test_and_binds_closer_than_or() -> None:
    assert parse_filter("a=1 or b=2 and c=3") == parse_filter("a=1 or (b=2 and c=3)")


@pytest.mark.parametrize(
    ("text", "position", "mend"),
    [
        ("highway = path", 11, "'path'"),
        ('highway = "path"', 11, "'path'"),
        ("highway == 'path'", 10, "in single quotes"),
        ("highway like 'p%'", 9, "one of =, !=, <"),
        ("highway in 'path'", 12, "in brackets"),
        ("highway in ('path' 'track')", 20, "commas"),
        ("highway in ('path'", 19, ") at its end"),
        ("(highway = 'path'", 18, "add )"),
        ("highway = 'path", 11, "doubled"),
        ("lanes < '3'", 7, "without"),
        ("lanes < 3 lanes", 11, "and, or"),
        ("lanes < 3; drop table x", 10, "';' is not known"),
        ("", 1, "a field is expected"),
        ("and = 3", 1, "a field is expected"),
        ("lanes not 3", 11, "before `in`"),
        ("lanes < 1e999", 9, "too large"),
        ("lanes < 3x", 9, "not known"),
        ("(" * 40 + "a=1" + ")" * 40, 31, "inside each other"),
    ],
)
def test_a_fault_names_its_position_and_the_mend(text: str, position: int, mend: str) -> None:
    with pytest.raises(SettingsError, match=rf"^position {position} of ") as fault:
        parse_filter(text)
    assert mend.replace("without", "leave out the quotes") in str(fault.value).removeprefix(f"position {position}")


def test_the_reader_is_given_what_the_tree_says() -> None:
    tree = parse_filter("owner != 'Mill''s' and not lanes in (1, 2)")
    given = reader_filter(tree, TYPES, "GeoJSON")
    assert given == '(("Owner" IS NULL OR "Owner" <> \'Mill\'\'s\') AND ("lanes" IS NULL OR NOT "lanes" IN (1, 2)))'
    assert '"Owner" COLLATE NOCASE <>' in reader_filter(tree, TYPES, "GPKG")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("higway = 'path'", "has no field 'higway'; did you mean 'highway'? it has highway, lanes, Owner, seen"),
        ("highway = 3", "has texts in field 'highway'; put 3 in single quotes"),
        ("lanes = '3'", "has numbers in field 'lanes'; write a number for '3', without quotes"),
        ("seen = '2020'", "has dates or lists in field 'seen'"),
        (r"highway = 'a\'", "holds a sign that the reader of layers takes for its own"),
    ],
)
def test_what_the_layer_cannot_answer_is_refused(text: str, words: str) -> None:
    with pytest.raises(InputError, match=re.escape(words)):
        reader_filter(parse_filter(text), TYPES, "GeoJSON")


def test_tags_without_a_column_are_asked_for_in_an_extract() -> None:
    given = reader_filter(parse_filter("access = 'private'"), {"other_tags": "object"}, "OSM")
    assert given == "HSTORE_GET_VALUE(\"other_tags\", 'access') = 'private'"

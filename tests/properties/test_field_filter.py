"""Any filter is written and read back unchanged, and the reader keeps the rows that the filter means."""

from pathlib import Path
from tempfile import TemporaryDirectory

import geopandas
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hushwalk.files.field_filter import Among, Comparison, Filter, Joined, Not, parse_filter, reader_filter, render
from hushwalk.files.paths import VECTOR_ENDINGS, find
from hushwalk.files.vectors import look_at_vector, read_shapes
from hushwalk.grid.systems import Box

WORDS = ("path", "Path", "it's", "(a) or b", "50%_", "", "--", "é")
NUMBERS = (-2, 0, 1, 2, 1.5, 1e-7)
SIGNS = {
    "=": lambda a, b: a == b,
    "<": lambda a, b: a < b,
    "<=": lambda a, b: a <= b,
    ">": lambda a, b: a > b,
    ">=": lambda a, b: a >= b,
}


def filters(fields: st.SearchStrategy[str], words: st.SearchStrategy[str]) -> st.SearchStrategy[Filter]:
    numbers = st.sampled_from(NUMBERS) | st.integers(-(2**62), 2**62)
    text = st.builds(Comparison, fields, st.sampled_from(["=", "!="]), words)
    measured = st.builds(Comparison, st.just("n"), st.sampled_from([*SIGNS, "!="]), numbers)
    among = st.builds(Among, fields, st.lists(words, min_size=1, max_size=3).map(tuple))
    counted = st.builds(Among, st.just("n"), st.lists(numbers, min_size=1, max_size=3).map(tuple))
    return st.recursive(
        text | measured | among | counted,
        lambda part: (
            st.builds(Not, part)
            | st.builds(Joined, st.sampled_from(["and", "or"]), st.lists(part, min_size=2, max_size=3).map(tuple))
        ),
        max_leaves=8,
    )


@given(filters(st.text(min_size=1), st.text()))
def test_what_is_written_is_read_as_the_same_tree(tree: Filter) -> None:
    assert parse_filter(render(tree)) == tree


def holds(tree: Filter, row: dict[str, object]) -> bool:
    """Mean what the guide says of a row: empty fields meet no comparison but `!=`, capitals do not matter."""
    match tree:
        case Not(part):
            return not holds(part, row)
        case Joined(word, parts):
            return (all if word == "and" else any)(holds(part, row) for part in parts)
        case Among(field, values):
            return any(holds(Comparison(field, "=", value), row) for value in values)
        case Comparison(field, "!=", value):
            return not holds(Comparison(field, "=", value), row)
        case Comparison(field, operator, value):
            held = row[field]
            low = [x.translate(LOW) if isinstance(x, str) else x for x in (held, value)]
            return held is not None and bool(SIGNS[operator](*low))
    raise AssertionError(tree)


LOW = str.maketrans("ABCDEFGHIJKLMNOPQRSTUVWXYZ", "abcdefghijklmnopqrstuvwxyz")
ROWS = st.lists(
    st.fixed_dictionaries({"t": st.none() | st.sampled_from(WORDS), "n": st.none() | st.sampled_from(NUMBERS)}),
    min_size=1,
    max_size=8,
)


@pytest.mark.parametrize("ending", ["geojson", "gpkg"])
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=ROWS, tree=filters(st.just("t"), st.sampled_from(WORDS)))
def test_the_reader_keeps_the_rows_that_are_meant(ending: str, rows: list[dict[str, object]], tree: Filter) -> None:
    rows = [*rows, {"t": "last", "n": 0.5}]  # so that each column has a type
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"rows.{ending}"
        points = [shapely.Point(k, 0) for k in range(len(rows))]
        geopandas.GeoDataFrame(rows, geometry=points, crs="EPSG:4326").to_file(path)
        file = look_at_vector(find(path.name, Path(folder), "rows", VECTOR_ENDINGS), "rows")
        where = reader_filter(tree, dict(zip(file.fields, file.types, strict=True)), file.driver)
        kept = read_shapes(file, [Box(-1, -1, 100, 1)], "rows", where)
    assert sorted(shapely.get_x(kept.geometries)) == [k for k, row in enumerate(rows) if holds(tree, row)]

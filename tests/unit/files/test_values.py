"""Values in a file that runs no code: what goes in comes out, and nothing but values of this program is ever made."""

import io
import json
import pickle
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from types import MappingProxyType
from zoneinfo import ZoneInfo

import numpy as np
import pytest
import shapely
from scipy.sparse import csr_array

from hushwalk.errors import InputError
from hushwalk.files.values import read_values, write_values
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.site.place import Place

GRID = Grid(32615, 700_000.0, 5_250_000.0, 10.0, 2, 3)


def there_and_back(value: object) -> object:
    file = io.BytesIO()
    write_values(file, value)
    file.seek(0)
    return read_values(file)


@pytest.mark.parametrize(
    "value",
    [
        None,
        True,
        7,
        0.1 + 0.2,
        float("inf"),
        "Öland\u0000\n",
        b"\x00\xff",
        (1, (2.5, "a")),
        [1, [2]],
        {"a": (1,), 2: None},
        frozenset({"a"}),
        date(2027, 4, 24),
        time(9, 30),
        timedelta(days=-1, seconds=3, microseconds=5),
        datetime(2027, 11, 7, 1, 30, tzinfo=ZoneInfo("America/Chicago"), fold=1),
        datetime(2027, 4, 24, tzinfo=UTC),
        Path("a") / "b",
        Place("P01", (1.0, 2.0), -90.0, 47.0, 400.0, "15T", "15T YN"),
    ],
    ids=lambda value: type(value).__name__,
)
def test_plain_values_come_back_equal(value: object) -> None:
    back = there_and_back(value)
    assert back == value
    assert type(back) is type(value)
    if isinstance(value, datetime):
        assert isinstance(back, datetime)
        assert (back.fold, str(back.tzinfo)) == (value.fold, str(value.tzinfo))


def test_arrays_layers_shapes_and_sparse_matrices_come_back_to_the_bit() -> None:
    values = np.array([[1.0, np.nan, -0.0], [np.inf, 1e-300, 3.0]])
    layer = Layer("x", "m", GRID, values)
    shape = shapely.Polygon([(0, 0), (1, 0), (0.3, 1)])
    matrix = csr_array(np.array([[0.0, 2.0], [3.0, 0.0]]))
    view = MappingProxyType({"mask": np.array([True, False])})
    back = there_and_back((layer, shape, matrix, view, np.float64(0.1), np.arange(3, dtype=np.int16)))
    assert isinstance(back, tuple)
    assert back[0].values.tobytes() == values.tobytes()
    assert back[0].grid == GRID
    assert back[1].equals_exact(shape)
    assert (back[2] != matrix).nnz == 0
    assert back[3]["mask"].tolist() == [True, False]
    assert back[4] == np.float64(0.1)
    assert back[5].dtype == np.int16


def test_what_stands_twice_is_one_thing_afterwards() -> None:
    array = np.zeros(1000)
    back = there_and_back({"a": array, "b": array})
    assert isinstance(back, dict)
    assert back["a"] is back["b"]


@dataclass(frozen=True)
class Stranger:
    """A dataclass of somebody else."""

    x: int


@pytest.mark.parametrize("value", [Stranger(1), lambda: 1, object(), np.array([object()]), GRID.cell_at, open])
def test_what_is_no_value_of_this_program_is_not_written(value: object) -> None:
    with pytest.raises(InputError):
        write_values(io.BytesIO(), value)


@pytest.mark.parametrize(
    "tree",
    [
        ["made", "os:system", {}],
        ["made", "hushwalk.__main__:main", {}],
        ["made", "hushwalk.files.values:import_module", {}],
        ["made", "hushwalk.files.values:read_values", {}],
        ["made", "hushwalk.files.values:Path", {}],
        ["enum", "subprocess:Popen", "x"],
        ["named", "hushwalk.no_such_room:Thing", []],
        ["made", "hushwalk.grid.grid:Grid", {"epsg": 4326}],
        ["call", "x"],
        ["again", 7],
    ],
    ids=str,
)
def test_a_file_that_asks_for_anything_else_is_refused(tree: list[object]) -> None:
    file = io.BytesIO()
    np.savez(file, tree=np.frombuffer(json.dumps(tree).encode(), np.uint8))
    file.seek(0)
    with pytest.raises(InputError):
        read_values(file)


def test_a_pickle_is_never_run() -> None:
    class Trap:
        def __reduce__(self) -> tuple[object, tuple[str]]:
            return pytest.fail, ("a pickle was run",)

    for content in (pickle.dumps(Trap()), b"", b"PK\x03\x04 cut", np.lib.format.magic(1, 0) + b"junk"):
        with pytest.raises(InputError):
            read_values(io.BytesIO(content))
    file = io.BytesIO()
    np.savez(file, tree=np.array([Trap()], dtype=object), allow_pickle=True)
    file.seek(0)
    with pytest.raises(InputError):
        read_values(file)

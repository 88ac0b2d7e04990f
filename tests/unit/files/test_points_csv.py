"""Tables of places as people keep them."""

from pathlib import Path

import pytest

from hushwalk.errors import InputError, MissingFileError
from hushwalk.files.points_csv import read_points


@pytest.mark.parametrize(
    "text",
    [
        "longitude,latitude\n-91.5,47.25\n",
        "\ufeffname;Lat;Lon\na;47.25;-91.5\n",
        "X\tY\tnote\n-91.5\t47.25\tby the creek\n",
    ],
)
def test_usual_names_and_dividers_are_known(tmp_path: Path, text: str) -> None:
    (tmp_path / "p.csv").write_text(text, encoding="utf-8")
    assert read_points(tmp_path / "p.csv") == ((-91.5, 47.25),)


def test_faults_name_file_and_line(tmp_path: Path) -> None:
    with pytest.raises(MissingFileError, match=r"p\.csv"):
        read_points(tmp_path / "p.csv")
    (tmp_path / "p.csv").write_text("lon,lat\n1,2\n3\n")
    with pytest.raises(InputError, match="line 3"):
        read_points(tmp_path / "p.csv")
    (tmp_path / "p.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="UTF-8"):
        read_points(tmp_path / "p.csv")

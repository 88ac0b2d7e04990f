import pytest

from hushwalk.errors import InputError
from hushwalk.logs.sectors import opposite, sector_list, sector_values


def test_sectors() -> None:
    assert opposite("N") == "S"
    assert sector_values("n 3; SW: 4.5", "x", 0, 10) == {"N": 3.0, "SW": 4.5}
    assert sector_list("none", "access") == ()
    for text in ("N 3, N 4", "Q 3", "N", "N 300", "N 1.2.3"):
        with pytest.raises(InputError, match="cannot be used"):
            sector_values(text, "x", 0, 10)
    with pytest.raises(InputError, match="no compass sector"):
        sector_list("up", "access")

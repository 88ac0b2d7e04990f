"""No test of the suite leaves this machine, be it by Python's sockets or by those of a library."""

import socket

import pytest
import rasterio
import requests
from rasterio.errors import RasterioError


def test_a_socket_to_another_machine_is_refused() -> None:
    # 192.0.2.0/24 is set aside for documents (RFC 5737): nobody answers there
    with pytest.raises(PermissionError, match="beyond this machine"), socket.socket() as one:
        one.connect(("192.0.2.1", 80))


def test_a_request_by_name_goes_nowhere() -> None:
    with pytest.raises(requests.RequestException, match=r"127\.0\.0\.1|[Pp]roxy"):
        requests.get("http://example.org/", timeout=5)


def test_the_reader_of_rasters_goes_nowhere() -> None:
    with pytest.raises(RasterioError), rasterio.open("/vsicurl/http://example.org/none.tif"):
        pass

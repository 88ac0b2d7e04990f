"""What comes of services that are busy, shut, moved, wrong or cut off: each layer ends in words, the others go on."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import requests
from affine import Affine
from rasterio.io import MemoryFile
from werkzeug import Request, Response

from hushwalk.errors import OutputError, ServiceError
from hushwalk.gather import transport as transport_file
from hushwalk.gather.story import Gathered
from hushwalk.gather.transport import AskParams, Transport
from hushwalk.site.manifest import LayerSource, read_manifest

Start = Callable[..., Any]
Run = Callable[..., Gathered]


def of(gathered: Gathered, kind: str) -> LayerSource:
    return next(one for one in gathered.layers if one.kind == kind)


def times(n: int, answer: Callable[[], Response]) -> Callable[[Request], Response | None]:
    """Show an answer the first ``n`` times, then let the true one through."""
    left = iter(range(n))
    return lambda _: answer() if next(left, None) is not None else None


def status(code: int, text: str = "", **headers: str) -> Callable[[], Response]:
    return lambda: Response(text, status=code, headers=headers)


def always(answer: Callable[[], Response]) -> Callable[[Request], Response | None]:
    return lambda _: answer()


def test_a_server_that_is_busy_twice_is_asked_again(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us")
    server.fault("mrlc_Land", times(2, status(503)))
    server.fault("lossyear", times(2, status(503)))
    server.fault("nhd/MapServer/6", times(1, status(429, **{"Retry-After": "0"})))
    gathered = gathered_at(server, "cover", "stand_age", "streams")
    assert [one.state for one in gathered.layers] == ["got"] * 3
    assert of(gathered, "cover").service == "annual_nlcd"


def test_a_file_that_failed_once_is_opened_again_though_the_library_remembers_the_fault(
    services_at: Start, gathered_at: Run
) -> None:
    server = services_at("ca")
    server.fault("mrdem", times(3, status(503)))  # as many as one opening tries
    assert of(gathered_at(server, "elevation"), "elevation").service == "mrdem"


def test_a_service_that_is_down_for_ever_is_replaced_and_said(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us")
    server.fault("mrlc_Land", always(status(503, "down for maintenance")))
    cover = of(gathered_at(server, "cover"), "cover")
    assert (cover.state, cover.service) == ("got", "nlcd_2021")
    assert cover.tried
    assert cover.tried[0].startswith("Annual NLCD: ")
    assert "503" in cover.tried[0]


def test_words_with_status_200_are_no_cells(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us")
    xml = '<?xml version="1.0"?><ExceptionReport><Exception>no such time</Exception></ExceptionReport>'
    server.fault("mrlc_Land", always(status(200, xml)))
    server.fault("NLCD_2021", always(lambda: Response(json.dumps({"error": {"code": 400, "message": "no"}}))))
    cover = of(gathered_at(server, "cover"), "cover")
    assert cover.service == "worldcover"
    assert "words instead of cells" in cover.tried[0]
    assert "no such time" in cover.tried[0]


def test_a_picture_of_three_bands_is_no_cells(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us")
    with MemoryFile() as memory:
        profile = {"driver": "GTiff", "height": 4, "width": 4, "count": 3, "dtype": "uint8", "crs": "EPSG:5070"}
        profile["transform"] = Affine(30, 0, 15, 0, -30, 15)
        with memory.open(**profile) as data:
            data.write(np.zeros((3, 4, 4), np.uint8))
        picture = bytes(memory.read())
    server.fault("TCC_CONUS", always(lambda: Response(picture, mimetype="image/tiff")))
    canopy = of(gathered_at(server, "canopy_cover"), "canopy_cover")
    assert canopy.state == "failed"
    assert "3 bands" in canopy.reason


def test_a_sea_tile_that_is_not_there_leaves_the_rest(services_at: Start, gathered_at: Run) -> None:
    server = services_at("ca", '[defaults.ca]\nelevation = ["glo30"]\n')
    server.fault("N50_00_W116", always(status(404)))
    heights = of(gathered_at(server, "elevation"), "elevation")
    assert heights.state == "partly"
    assert heights.valid_share is not None
    assert 0.6 < heights.valid_share < 0.9  # one of four quarters is sea
    assert "as at sea" in heights.reason


def test_a_bucket_that_was_shut_is_said_and_replaced(services_at: Start, gathered_at: Run) -> None:
    server = services_at("ca")
    server.fault("landcover-2020", always(status(403, "AccessDenied")))
    cover = of(gathered_at(server, "cover"), "cover")
    assert cover.service == "worldcover"
    assert "403" in cover.tried[0]
    assert "shut" in cover.tried[0]
    assert [one.service for one in read_manifest(cover_folder(server, gathered_at))] == [
        "worldcover",
        "forest_type_2019",
    ]


def cover_folder(server: Any, gathered_at: Run) -> Path:
    return gathered_at(server, "cover").folder


def test_an_edition_that_is_empty_here_gives_way_to_the_older_one(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us", '[defaults.us]\ncover = ["landfire_evt_2025", "landfire_evt_2024"]\n')
    true = server._kind_of_image

    def empty(path: str) -> Any:
        return (lambda lon, _: np.full(lon.shape, -9999), "int16", -9999) if "LF2025" in path else true(path)

    server._kind_of_image = empty
    cover = of(gathered_at(server, "cover"), "cover")
    assert cover.service == "landfire_evt_2024"
    assert "knows no cell of this ground" in cover.tried[0]


def test_an_edition_with_holes_gives_way_too(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us", '[defaults.us]\ncover = ["landfire_evt_2025", "landfire_evt_2024"]\n')
    true = server._kind_of_image
    middle = server.place[1]

    def half(path: str) -> Any:
        made = true(path)
        return (
            (lambda lon, lat: np.where(lon < middle, -9999, made[0](lon, lat)), "int16", -9999)
            if "LF2025" in path
            else made
        )

    server._kind_of_image = half
    cover = of(gathered_at(server, "cover"), "cover")
    assert cover.service == "landfire_evt_2024"
    assert "of its cells are known" in cover.tried[0]


def test_a_redirect_passes_through_the_host_map(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us")
    moved = "https://new.example.org/geoserver/mrlc_Land-Cover-Native_conus_year_data/wcs"
    server.fault(
        "dmsdata.cr.usgs.gov",
        lambda r: Response(status=302, headers={"Location": f"{moved}?{r.query_string.decode()}"}),
    )
    cover = of(gathered_at(server, "cover"), "cover")
    assert cover.service == "annual_nlcd"
    assert server.paths("new.example.org")


def test_fewer_features_than_were_counted_are_a_fault(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us")
    server.fault(
        "nhd/MapServer/6/query", lambda r: Response(json.dumps({"count": 99})) if "returnCountOnly" in r.args else None
    )
    streams = of(gathered_at(server, "streams"), "streams")
    assert streams.service == "osm"
    assert "counts 99 features here and gives 7" in streams.tried[0]


def test_a_fault_in_an_answer_of_status_200_is_a_fault(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us")
    fault = {"error": {"code": 500, "message": "Failed to execute query"}}
    server.fault("Wetlands/MapServer/0/query", always(lambda: Response(json.dumps(fault))))
    wetlands = of(gathered_at(server, "wetlands", half_m=2500.0), "wetlands")
    assert wetlands.service == "osm"
    assert "Failed to execute query" in wetlands.tried[0]


def test_a_page_that_takes_too_long_is_asked_in_halves(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us")
    about = {"maxRecordCount": 1000, "objectIdField": "OBJECTID", "fields": [{"name": "FCODE"}]}

    def slow(request: Request) -> Response | None:
        if not request.path.endswith("/query"):
            return Response(json.dumps(about))
        return Response(status=504) if int(request.args.get("resultRecordCount", 0)) > 250 else None

    server.fault("nhd/MapServer/6", slow)
    assert of(gathered_at(server, "streams"), "streams").service == "nhd_flowlines"


def test_the_map_database_breaks_off_and_its_twin_is_asked(services_at: Start, gathered_at: Run) -> None:
    server = services_at("se")
    remark = {"elements": [], "remark": 'runtime error: Query timed out in "query" at line 4 after 120 seconds.'}
    server.fault("overpass-api.de", always(lambda: Response(json.dumps(remark))))
    roads = of(gathered_at(server, "roads"), "roads")
    assert roads.state == "got"
    assert [request.path.split("/")[2] for request in server.asked] == ["overpass-api.de", "overpass.private.coffee"]


def test_a_stock_agent_would_be_turned_away_by_the_map_database(services_at: Start) -> None:
    server = services_at("se")
    said = requests.post(server.server.url_for("/overpass-api.de/api/interpreter"), data={"data": "x"}, timeout=60)
    assert said.status_code == 406


def test_no_failure_stops_the_others_and_all_is_said(services_at: Start, gathered_at: Run) -> None:
    server = services_at("us")
    server.fault("", lambda r: None if "lossyear" in r.path else Response("gone", status=503))
    gathered = gathered_at(server)
    assert of(gathered, "stand_age").state == "got"
    assert {one.state for one in gathered.layers if one.kind != "stand_age"} == {"failed"}
    assert all(one.reason for one in gathered.layers if one.state == "failed")


def test_offline_takes_kept_answers_only(services_at: Start, gathered_at: Run, tmp_path: Path) -> None:
    server = services_at("ca")
    gathered_at(server, "cover", "roads")
    asked = len(server.asked)
    for path in (tmp_path / "trip").iterdir():
        path.unlink()
    again = gathered_at(server, "cover", "roads", "elevation", ask=AskParams(offline=True))
    assert len(server.asked) == asked
    assert {one.kind: one.state for one in again.layers} == {"cover": "got", "roads": "got", "elevation": "failed"}
    assert "--offline" in of(again, "elevation").reason
    assert of(again, "cover").addresses[0].endswith("landcover-2020-classification.tif")


def test_a_run_that_is_stopped_goes_on_where_it_was(services_at: Start, gathered_at: Run) -> None:
    server = services_at("ca")

    first = gathered_at(server, "elevation", "cover")
    n_before = len(server.asked)
    original = transport_file.Transport.post

    def interrupted(*_: Any) -> Any:
        raise KeyboardInterrupt

    transport_file.Transport.post = interrupted  # type: ignore[method-assign]
    try:
        with pytest.raises(KeyboardInterrupt):
            gathered_at(server, "elevation", "cover", "roads")
    finally:
        transport_file.Transport.post = original  # type: ignore[method-assign]
    assert [one.kind for one in read_manifest(first.folder)] == ["elevation", "cover"]
    whole = gathered_at(server, "elevation", "cover", "roads")
    assert [one.state for one in whole.layers] == ["got"] * 3
    assert [request.path.split("/")[2] for request in server.asked[n_before:]] == ["overpass-api.de"]


def test_a_download_that_was_cut_goes_on_from_there(services_at: Start, tmp_path: Path) -> None:
    server = services_at("se")
    content = bytes(range(256)) * 4000
    ranges: list[str] = []

    def cut(request: Request) -> Response:
        ranges.append(request.headers.get("Range", ""))
        first = int(ranges[-1].removeprefix("bytes=").removesuffix("-")) if ranges[-1] else 0
        rest = content[first:]
        headers = {
            "Content-Length": str(len(rest)),
            "Content-Range": f"bytes {first}-{len(content) - 1}/{len(content)}",
        }
        sent = rest[:400_000] if len(ranges) < 3 else rest  # breaks off twice
        return Response(iter([sent]), status=206 if first else 200, headers=headers, direct_passthrough=True)

    server.fault("big.osm.pbf", cut)
    seen: list[float] = []
    transport = Transport(tmp_path / "answers", AskParams(tries=5, backoff_s=0.0))
    path = transport.download(
        server.server.url_for("/host.org/big.osm.pbf"),
        tmp_path / "answers" / "big.osm.pbf",
        lambda there, _: seen.append(there),
    )
    assert path.read_bytes() == content
    assert ranges[0] == ""
    assert all(one.startswith("bytes=") for one in ranges[1:])
    assert len(ranges) == 3
    assert seen == sorted(seen)


def test_a_full_disk_is_one_message_and_nothing_half_written(
    services_at: Start, gathered_at: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    server = services_at("ca")
    true = Path.write_bytes

    def full(path: Path, content: bytes) -> int:
        if len(content) > 2000:
            true(path, content[:1000])
            raise OSError(28, "No space left on device")
        return true(path, content)

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(OutputError, match="No space left on device; free some space"):
        gathered_at(server, "elevation")
    assert not list(tmp_path.rglob("*.part"))


def test_a_host_that_is_not_there_is_said_by_name(services_at: Start, tmp_path: Path) -> None:
    services_at("se")
    with pytest.raises(ServiceError, match=r"127\.0\.0\.1:9.* cannot be reached"):
        Transport(tmp_path, AskParams(tries=1, backoff_s=0.0)).get("http://127.0.0.1:9/none")

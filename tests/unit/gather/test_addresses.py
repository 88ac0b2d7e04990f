"""Each address for three places, to the letter, as typed from the documents of the providers and public code.

Places: 47.62 N 91.70 W, 60.5 N 15.5 E and 50.0 N 115.0 W, which is a corner of four tiles, each with a square of 8 km.
The addresses are those of 2026-11 as the providers document them; none could be called from where this was written.
"""

from urllib.parse import quote

import pytest

from hushwalk.errors import SettingsError
from hushwalk.gather.dry_run import addresses_of
from hushwalk.gather.feature_service import page_address, page_names
from hushwalk.gather.overpass import query_of
from hushwalk.gather.services import defaults, service, services
from hushwalk.gather.square import cells_of, square_round, tiles_of
from hushwalk.grid.systems import Box

BOXES = {
    place: square_round(*at, 4000.0)
    for place, at in {"us": (47.62, -91.70), "se": (60.5, 15.5), "ca": (50.0, -115.0)}.items()
}
AWS = "https://copernicus-dem-30m.s3.amazonaws.com"


def glo30(name: str) -> str:
    return f"{AWS}/{name}/{name}.tif"


ADDRESSES = [
    ("glo30", "us", [glo30("Copernicus_DSM_COG_10_N47_00_W092_00_DEM")]),
    ("glo30", "se", [glo30("Copernicus_DSM_COG_10_N60_00_E015_00_DEM")]),
    (
        "glo30",
        "ca",
        [glo30(f"Copernicus_DSM_COG_10_N{lat}_00_W{lon}_00_DEM") for lat in (50, 49) for lon in (116, 115)],
    ),
    (
        "usgs_3dep",
        "us",
        ["https://prd-tnm.s3.amazonaws.com/StagedProducts/Elevation/13/TIFF/current/n48w092/USGS_13_n48w092.tif"],
    ),
    (
        "usgs_3dep_image",
        "us",
        [
            "https://elevation.nationalmap.gov/arcgis/rest/services/3DEPElevation/ImageServer/exportImage?bbox=321105,2739435,329565,2747775&bboxSR=5070&imageSR=5070&size=846,834&format=tiff&pixelType=F32&interpolation=RSP_BilinearInterpolation&f=image"
        ],
    ),
    ("mrdem", "ca", ["https://canelevation-dem.s3.ca-central-1.amazonaws.com/mrdem-30/mrdem-30-dtm.tif"]),
    (
        "annual_nlcd",
        "us",
        [
            "https://dmsdata.cr.usgs.gov/geoserver/mrlc_Land-Cover-Native_conus_year_data/wcs?service=WCS&version=1.0.0&request=GetCoverage&coverage=mrlc_Land-Cover-Native_conus_year_data:Land-Cover-Native_conus_year_data&CRS=EPSG:5070&BBOX=321105,2739435,329565,2747775&resx=30&resy=30&time=2024-01-01T00:00:00.000Z&format=image/geotiff"
        ],
    ),
    (
        "nlcd_2021",
        "us",
        [
            "https://www.mrlc.gov/geoserver/mrlc_download/wcs?service=WCS&version=2.0.1&request=GetCoverage&coverageId=mrlc_download__NLCD_2021_Land_Cover_L48&subset=X(321105,329565)&subset=Y(2739435,2747775)&format=image/geotiff"
        ],
    ),
    (
        "landfire_evt_2024",
        "us",
        [
            "https://lfps.usgs.gov/arcgis/rest/services/Landfire_LF2024/LF2024_EVT_CONUS/ImageServer/exportImage?bbox=321105,2739435,329565,2747775&bboxSR=5070&imageSR=5070&size=282,278&format=tiff&pixelType=S16&noData=-9999&interpolation=RSP_NearestNeighbor&f=image"
        ],
    ),
    (
        "clc_plus",
        "se",
        [
            "https://image.discomap.eea.europa.eu/arcgis/rest/services/CLC_plus/CLMS_CLCplus_RASTER_2021_010m_eu/ImageServer/exportImage?bbox=4619440,4162950,4628130,4171570&bboxSR=3035&imageSR=3035&size=869,862&format=tiff&pixelType=U8&interpolation=RSP_NearestNeighbor&f=image"
        ],
    ),
    (
        "tree_canopy_us",
        "us",
        [
            "https://imagery.geoplatform.gov/iipp/rest/services/Vegetation/USFS_EDW_NLCD_TCC_CONUS/ImageServer/exportImage?bbox=321105,2739435,329565,2747775&bboxSR=5070&imageSR=5070&size=282,278&format=tiff&pixelType=U8&noData=255&interpolation=RSP_NearestNeighbor&mosaicRule="
            + quote('{"where":"beginyear=2023"}', safe=":=")
            + "&f=image"
        ],
    ),
    (
        "canada_cover",
        "ca",
        [
            "https://datacube-prod-data-public.s3.ca-central-1.amazonaws.com/store/land/landcover/landcover-2020-classification.tif"
        ],
    ),
    *(
        (
            "worldcover",
            place,
            [
                f"https://esa-worldcover.s3.eu-central-1.amazonaws.com/v200/2021/map/ESA_WorldCover_10m_2021_v200_{tile}_Map.tif"
            ],
        )
        for place, tile in (("us", "N45W093"), ("se", "N60E015"), ("ca", "N48W117"))
    ),
    (
        "forest_type_2019",
        "ca",
        [
            "https://zenodo.org/records/3939050/files/PROBAV_LC100_global_v3.0.1_2019-nrt_Forest-Type-layer_EPSG-4326.tif?download=1"
        ],
    ),
    (
        "canopy_height_eth",
        "us",
        [
            "https://libdrive.ethz.ch/index.php/s/cO8or7iOe5dT2Rt/download?path=%2F3deg_cogs&files=ETH_GlobalCanopyHeight_10m_2020_N45W093_Map.tif"
        ],
    ),
    *(
        (
            "forest_loss",
            place,
            [
                f"https://storage.googleapis.com/earthenginepartners-hansen/GFC-2025-v1.13/Hansen_GFC-2025-v1.13_lossyear_{tile}.tif"
                for tile in tiles
            ],
        )
        for place, tiles in (("us", ["50N_100W"]), ("se", ["70N_010E"]), ("ca", ["60N_120W", "50N_120W"]))
    ),
]


@pytest.mark.parametrize(
    ("key", "place", "wanted"), ADDRESSES, ids=lambda value: value if isinstance(value, str) else ""
)
def test_an_address_is_that_of_the_provider_to_the_letter(key: str, place: str, wanted: list[str]) -> None:
    assert list(addresses_of(service(key), BOXES[place])) == wanted


def test_the_squares_are_those_of_the_worked_examples() -> None:
    # 8 km round each place, rounded outward to four decimals
    assert BOXES["us"] == Box(-91.7534, 47.5840, -91.6466, 47.6560)
    assert BOXES["se"] == Box(15.4269, 60.4640, 15.5731, 60.5360)
    assert BOXES["ca"] == Box(-115.0560, 49.9640, -114.9440, 50.0360)
    made = cells_of(BOXES["us"], service("annual_nlcd"))
    assert (made.box, made.cols, made.rows) == (Box(321105, 2739435, 329565, 2747775), 282, 278)
    europe = cells_of(BOXES["se"], service("clc_plus"))
    assert (europe.box, europe.cols, europe.rows) == (Box(4619440, 4162950, 4628130, 4171570), 869, 862)


@pytest.mark.parametrize(("place", "quadkey"), [("us", "0213311213"), ("se", "1200301320"), ("ca", "0212133022")])
def test_quad_keys_are_those_of_the_worked_examples(place: str, quadkey: str) -> None:
    assert {"quadkey": quadkey} in tiles_of(BOXES[place], service("canopy_height_v2"))


def test_tiles_south_and_east_carry_their_letters_and_their_own_corner() -> None:
    # South-west corners: 33.5 S 70.5 W lies in S34 W071; north-west corners of ten degrees: 30S_080W.
    box = square_round(-33.5, -70.5, 4000.0)
    assert ["{NS}{lat:02d}{EW}{lon:03d}".format(**tile) for tile in tiles_of(box, service("glo30"))] == ["S34W071"]
    assert ["{lat:02d}{NS}_{lon:03d}{EW}".format(**tile) for tile in tiles_of(box, service("forest_loss"))] == [
        "30S_080W"
    ]


def test_a_page_of_features_is_asked_in_the_words_of_the_protocol() -> None:
    one = service("nhd_flowlines")
    full = page_address(one, page_names(BOXES["us"], "OBJECTID", ("gnis_name", "fcode"), 0, 1000))
    assert full == (
        "https://hydro.nationalmap.gov/arcgis/rest/services/nhd/MapServer/6/query?where=1=1"
        "&geometry=-91.7534,47.5840,-91.6466,47.6560&geometryType=esriGeometryEnvelope&inSR=4326"
        "&spatialRel=esriSpatialRelIntersects&outFields=gnis_name,fcode&outSR=4326&returnGeometry=true"
        "&geometryPrecision=6&orderByFields=OBJECTID&resultOffset=0&resultRecordCount=1000&f=geojson"
    )


def test_the_question_to_the_map_database_carries_the_box_south_first() -> None:
    assert query_of(service("osm"), BOXES["us"]).startswith(
        '[out:json][timeout:120][maxsize:268435456][bbox:47.5840,-91.7534,47.6560,-91.6466];\n(\n  way["highway"];'
    )


def test_every_service_of_the_defaults_is_in_the_table_and_every_one_says_its_terms() -> None:
    for region in ("us", "us_beyond", "ca", "europe", "world"):
        rows = defaults(region)
        assert {"elevation", "cover", "closed", "roads"} <= set(rows)
        assert all(key in services() for choices in rows.values() for choice in choices for key in choice)
    for one in services().values():
        assert one.licence
        assert one.licence_link.startswith("https://")
        assert one.credit
        assert one.certainty in "ABC"


def test_a_place_near_the_pole_or_the_date_line_is_refused_in_words() -> None:
    with pytest.raises(SettingsError, match="between -85 and 85"):
        square_round(86.0, 10.0, 4000.0)
    with pytest.raises(SettingsError, match="between -180 and 180"):
        square_round(52.0, 179.99, 4000.0)

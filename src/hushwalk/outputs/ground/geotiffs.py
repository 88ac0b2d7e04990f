"""The ground of a trip as cloud-optimised GeoTIFFs, with units, sources and credits in the tags of each.

What is on the ground is the habitat and the hearing room's business; the format is grid/cloud_raster.py's.
"""

from collections.abc import Mapping

from hushwalk import __version__
from hushwalk.grid.layer import Layer
from hushwalk.habitat.needs import Need
from hushwalk.outputs.registry import Product
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site
from hushwalk.sources import DEFINITION, JUDGEMENT, all_sources, cite
from hushwalk.wording.credit_words import credit_sentences
from hushwalk.wording.ground_words import ground_sentences

RULE = "judgement: of how needs are joined, see docs/science/habitat.md"
Tags = Mapping[str, str]


def ground_products(site: Site, settings: TripSettings, earshot: Layer | None = None) -> tuple[Product, ...]:
    """Give every raster of a ground: suitability, what it is made of, males and earshot.

    Parameters
    ----------
    site : the ground of the trip.
    settings : what the trip file says.
    earshot : of :func:`hushwalk.hearing.earshot_map.earshot_map`; None leaves it out.

    Returns
    -------
    tuple of Product
        A GeoTIFF each, on the grid of the trip; earshot on cells of its own.
    """
    layers = ground_layers(site) | ({} if earshot is None else {"earshot_m": earshot})
    own = _tags_of_all(site, settings)
    return tuple(
        Product(f"{name}.tif", "ground raster", (layer, own | _tags_of(site, settings, name)))
        for name, layer in layers.items()
    )


def ground_layers(site: Site) -> dict[str, Layer]:
    """Give every layer of the habitat of a ground by the name of its file, the suitability first."""
    surface, males = site.habitat.surface, site.habitat.males
    return {
        "suitability": surface.layer,
        **{f"score_{key}": layer for key, layer in surface.scores.items()},
        **{f"measured_{key}": layer for key, layer in surface.measured.items()},
        "males_per_km2": males.middle,
        "males_per_km2_low": males.low,
        "males_per_km2_high": males.high,
    }


def geotiff_bytes(layer: Layer, tags: Tags) -> bytes:
    """Give a layer with its tags as the bytes of a GeoTIFF."""
    return layer.as_geotiff(tags)


def _tags_of_all(site: Site, settings: TripSettings) -> dict[str, str]:
    credits_ = credit_sentences(site.inputs.credits)
    return {
        "TIFFTAG_SOFTWARE": f"hushwalk {__version__}",
        "SPECIES": f"{site.card.name} ({site.card.file.latin})",
        "REGION": site.region.label,
        "YEAR_IN_CYCLE": settings.ground.cycle,
        "TRUST": f"{site.habitat.surface.confidence:.2f}",
        **({"CREDIT": "\n".join(credits_)} if credits_ else {}),
    }


def _tags_of(site: Site, settings: TripSettings, name: str) -> dict[str, str]:
    """Say what a layer shows, and which sources it rests on."""
    part, _, key = name.partition("_")
    need = next((one for one in site.habitat.surface.needs if one.key == key), None)
    sources = _sources(site, part, need)
    return {
        "TIFFTAG_IMAGEDESCRIPTION": ground_sentences(site, settings, name, need),
        "SOURCES": "\n".join(_cited(source) for source in dict.fromkeys(sources)),
    }


def _sources(site: Site, part: str, need: Need | None) -> tuple[str, ...]:
    """Keys that a layer rests on: those of its need, of all needs, of the males, or of the call and the air."""
    surface, males = site.habitat.surface, site.habitat.males
    needs = tuple(one.source for one in surface.needs)
    if part in {"score", "measured"} and need is not None:
        return (need.source,)
    if part == "earshot":
        sound = site.card["sound"]
        return (sound["band_source"], sound["level_source"], "iso_9613_1_1993", "iso_9613_2_1996", "buckland_2001")
    return (*needs, RULE, *(males.params.sources if part == "males" else ()))


def _cited(source: str) -> str:
    """Give a source in full, as far as it is one of the list."""
    if source == DEFINITION or source.startswith(JUDGEMENT):
        return source
    key, _, rest = source.partition(":")
    return f"{key}: {cite(key)}{rest}" if key in all_sources() else source

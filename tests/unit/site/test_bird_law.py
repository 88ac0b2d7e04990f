"""Where the law forbids to seek a bird on its display ground no ground is read; elsewhere the law is said."""

from dataclasses import replace

import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_metres, utm_epsg
from hushwalk.site.bird_law import bird_laws, lawful
from hushwalk.site.species import SpeciesCard, read_card, species_cards
from hushwalk.sources import cite
from hushwalk.wording.range_words import law_sentence

BLACK, HAZEL = read_card("black_grouse"), read_card("hazel_grouse")
CAPERCAILLIE = replace(BLACK, file=replace(BLACK.file, name="capercaillie", latin="Tetrao urogallus"))


def ground(lon: float, lat: float, reach_m: float = 2000.0) -> Grid:
    epsg = utm_epsg(lon, lat)
    east, north = to_metres(epsg, np.array([lon, lat])).tolist()
    cells = int(2 * reach_m / 100)
    return Grid(epsg, east - reach_m, north + reach_m, 100.0, cells, cells)


@pytest.mark.parametrize(
    ("card", "place", "lon", "lat", "law"),
    [
        (BLACK, "Rhoen", 10.0, 50.5, "Bundesjagdgesetz"),
        (HAZEL, "Bavarian Forest", 13.3, 48.95, "Bundesjagdgesetz"),
        (BLACK, "Biebrza", 22.6, 53.5, "Nature Conservation Act"),
        (CAPERCAILLIE, "Cairngorms", -3.7, 57.1, "Wildlife and Countryside Act"),
    ],
)
def test_what_the_law_forbids_is_refused(card: SpeciesCard, place: str, lon: float, lat: float, law: str) -> None:
    with pytest.raises(SettingsError, match=rf"is not sought on its display ground in .*{law}"):
        assert lawful(card, ground(lon, lat)), place


@pytest.mark.parametrize(
    ("card", "lon", "lat", "words"),
    [
        (BLACK, -3.7, 57.1, "in Great Britain the guidance of NatureScot"),
        (BLACK, 25.0, 62.0, "in the European Union the Directive 2009/147/EC"),
        (HAZEL, 22.6, 53.5, "in the European Union the Directive 2009/147/EC"),  # Poland, where it is hunted
        (HAZEL, 7.5, 46.4, "in Switzerland the Hunting Ordinance"),
        (HAZEL, 9.52, 47.14, "Law: what the law of this country says of seeking the hazel grouse was not looked up"),
    ],
)
def test_elsewhere_a_caution_goes_along(card: SpeciesCard, lon: float, lat: float, words: str) -> None:
    laws = lawful(card, ground(lon, lat))
    assert {law.rule for law in laws} == {"caution"}
    assert words in " ".join(law_sentence(card.name, law) for law in laws)


def test_ground_that_reaches_over_the_border_is_refused_with_the_mend() -> None:
    near = ground(9.72, 47.49, 2000.0)  # Bregenz, in Austria, four kilometres from Germany
    assert lawful(BLACK, near)
    with pytest.raises(SettingsError, match=r"the ground reaches into Germany: .* keep the ground out of that country"):
        lawful(BLACK, ground(9.72, 47.49, 9000.0))


def test_birds_of_america_meet_no_law_of_europe_and_every_law_has_its_source() -> None:
    assert lawful(read_card("ruffed_grouse"), ground(10.0, 50.5)) == ()
    known = {card.file.latin for card in species_cards().values()} | {"Tetrao urogallus"}
    for law in bird_laws():
        cite(law.source)
        assert law.rule in {"refuse", "caution"}
        assert set(law.birds) & known

from pathlib import Path

import pytest

from hushwalk.errors import MissingFileError, SettingsError
from hushwalk.hearing.availability import display_from_card
from hushwalk.hearing.call import call_from_card
from hushwalk.site.reading.cover_kinds import cover_kinds, kinds_by_key
from hushwalk.site.species import read_card, species_cards
from hushwalk.site.species_file import card_names, parse_card, read_card_text
from hushwalk.sources import cite
from hushwalk.wording.card_words import card_words

TEXT = read_card_text("ruffed_grouse")[1]


def written(folder: Path, old: str, new: str) -> Path:
    assert old in TEXT
    path = folder / "mine.toml"
    path.write_text(TEXT.replace(old, new, 1), encoding="utf-8")
    return path


@pytest.mark.parametrize("key", card_names())
def test_every_card_is_whole(key: str) -> None:
    card = read_card(key)
    assert set(card.file.cover.kinds) == set(kinds_by_key()) - {"unknown"}
    for region in card.file.region:
        usual, best = card.cover_quality(region)
        assert set(usual) == set(cover_kinds()) - {0}
        assert all(0 <= quality <= 1 for quality in (*usual.values(), *best.values()))
        assert card.density(region, "unknown").middle_per_km2 > 0
        assert any(need.role == "limiting" for need in card.needs(region))
    assert card.sources
    for source in card.sources:
        cite(source)
    assert card.name in card_words(key)


def test_five_birds_come_with_the_tool_and_the_code_knows_none() -> None:
    assert set(species_cards()) == {
        "ruffed_grouse",
        "american_woodcock",
        "sooty_grouse",
        "hazel_grouse",
        "black_grouse",
    }
    rooms = Path(__file__).resolve().parents[3] / "src" / "hushwalk"
    for room in ("habitat", "hearing", "walking", "planning", "grid"):
        for path in (rooms / room).glob("*.py"):
            assert "ruffed" not in path.read_text(encoding="utf-8").lower(), path.name


def test_a_region_may_weigh_and_bend_a_need_its_own_way() -> None:
    card = read_card("ruffed_grouse")
    north, south = ({n.key: n for n in card.needs(r)} for r in ("lake_states", "appalachians_south"))
    assert (north["ridge"].weight, south["ridge"].weight) == (0.0, 0.2)
    assert (north["water_edge"].weight, south["water_edge"].weight) == (0.2, 0.0)
    assert north["conifer_share"].curve(0.0) > south["conifer_share"].curve(0.0)


def test_quality_at_the_usual_age_is_the_published_share_of_the_best() -> None:
    usual, best = read_card("ruffed_grouse").cover_quality("lake_states")
    aspen, hardwood, shrub = (kinds_by_key()[key].code for key in ("aspen", "deciduous_forest", "shrub"))
    assert usual[aspen] == pytest.approx(0.57 * best[aspen])
    assert best[hardwood] == pytest.approx(usual[hardwood] / 0.57)
    assert shrub not in best


def test_water_is_no_land_in_the_share_of_the_landscape() -> None:
    shares = read_card("ruffed_grouse").landscape_shares("lake_states")
    assert kinds_by_key()["open_water"].code not in shares
    assert shares[kinds_by_key()["crop"].code] == 0.0
    assert shares[kinds_by_key()["aspen"].code] == 1.0


def test_cycle_and_region_scale_the_density() -> None:
    card = read_card("ruffed_grouse")
    peak, low = card.density("lake_states", "peak"), card.density("lake_states", "low")
    assert low.middle_per_km2 == pytest.approx(0.35 * peak.middle_per_km2)
    assert card.density("lake_states", "unknown").spread > peak.spread
    assert card.density("black_hills", "peak").middle_per_km2 == pytest.approx(0.1 * peak.middle_per_km2)


def test_assumptions_are_told_once_and_in_words() -> None:
    said = read_card("ruffed_grouse").assumptions
    assert len(said) == len(set(said)) > 20
    assert not any(sentence.startswith("judgement") for sentence in said)


def test_an_unknown_card_or_region_names_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(MissingFileError, match="did you mean 'ruffed_grouse'"):
        read_card("rufed_grouse")
    with pytest.raises(MissingFileError, match="no species card"):
        read_card(tmp_path / "none.toml")
    with pytest.raises(SettingsError, match=r"no region 'lake_state'; did you mean 'lake_states'\?.*ground\.region"):
        read_card("ruffed_grouse").needs("lake_state")


@pytest.mark.parametrize("key", card_names())
def test_every_bird_can_be_listened_for(key: str) -> None:
    card = read_card(key)
    call, display = call_from_card(card.raw), display_from_card(card.raw)
    assert call.duration_s > 0
    assert max(display.hour_factor) == 1.0
    assert {"light_rain", "steady_rain", "windy_from_ms", "warming_odds_per_c"} <= set(display.weather)


def test_a_card_without_a_call_says_that_no_walk_can_be_planned(tmp_path: Path) -> None:
    head, tail = TEXT.split("[sound]", 1)
    path = tmp_path / "mute.toml"
    path.write_text(head + tail[tail.index("[display]") :], encoding="utf-8")
    with pytest.raises(SettingsError, match=r"mute has no table \[sound\]"):
        read_card(path)["sound"]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('name = "ruffed grouse"\n', "", "mine: name is missing"),
        ("home_radius_m = 113.0", "home_radius_m = -1.0", r"surface.home_radius_m = -1\.0"),
        ("home_radius_m = 113.0", "home_radius = 113.0", "home_radius"),
        ('role = "limiting"', 'role = "vital"', r"need\[1\]\.role = 'vital'"),
        ("curve = [[0.0, 0.0], [1.0, 1.0]]", "curve = [[0.0, 0.0], [0.0, 1.0]]", "values of a curve must rise"),
        ("curve = [[0.0, 0.0], [1.0, 1.0]]", "curve = [[0.0, 0.0], [1.0, 1.4]]", r"need\[1\]\.curve"),
        ('key = "slope"', 'key = "steepness"', "'steepness' is no ingredient"),
        ('key = "mixture"', 'key = "slope"', "'slope' is no ingredient or stands twice"),
        ("aspen = { best = [1.0, 1.0, 1.0]", "aspen = { best = [1.0]", "cover.kinds.aspen needs"),
        ("aspen = { best =", "aspenn = { best =", "did you mean 'aspen'"),
        ('column = "north"', 'column = "south"', "column = 'south' is none of"),
        ("weights = { ridge = 0.2", "weights = { summit = 0.2", "changes 'summit'"),
        ('home_source = "palmer_1963"', 'home_source = "palmer_1936"', "no source 'palmer_1936'"),
        ("alder_swamp = 0.5\n", 'alder_swamp = "half"\n', "landscape.alder_swamp is a share"),
        ("[surface]", "[surface", "mine: not TOML"),
    ],
)
def test_a_fault_in_a_card_is_one_message_with_its_place(tmp_path: Path, old: str, new: str, words: str) -> None:
    path = written(tmp_path, old, new)
    with pytest.raises(SettingsError, match=words) as said:
        read_card(path)
    assert str(said.value).startswith("species card mine")


def test_a_card_of_ones_own_is_read_from_its_file(tmp_path: Path) -> None:
    card = read_card(written(tmp_path, 'name = "ruffed grouse"', 'name = "hollow hen"'))
    assert (card.key, card.name) == ("mine", "hollow hen")
    binary = tmp_path / "picture.toml"
    binary.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(SettingsError, match="not UTF-8"):
        read_card(binary)
    with pytest.raises(SettingsError, match="not TOML"):
        parse_card("= 3", "mine")

"""A species card: what one bird needs, how many of it there are, how it is heard and how it is left in peace.

Nothing in the code knows a bird; reading the file itself is species_file.py's business.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal

from hushwalk.errors import InputError, SettingsError
from hushwalk.habitat.density import DensityParams
from hushwalk.habitat.needs import Need
from hushwalk.habitat.patches import PatchParams
from hushwalk.habitat.suitability import SurfaceParams
from hushwalk.science.curves import Curve
from hushwalk.site.reading.cover_kinds import cover_kinds, kind_by_key
from hushwalk.site.species_file import (
    CardFile,
    Knees,
    NeedTable,
    RadiiTable,
    RegionTable,
    card_names,
    parse_card,
    read_card_text,
)
from hushwalk.sources import DEFINITION, JUDGEMENT, cite

Cycle = Literal["peak", "unknown", "low"]
INGREDIENTS = (
    "cover_quality",
    "stand_age",
    "canopy_cover",
    "canopy_height",
    "stems",
    "visibility",
    "landscape_share",
    "water_edge",
    "ridge",
    "mixture",
    "conifer_share",
    "slope",
    "northness",
    "wetness",
)
"""What can be measured of the ground; a need names one of them."""


@dataclass(frozen=True)
class SpeciesCard:
    """One bird.

    Parameters
    ----------
    key : name of the card.
    file : all that it says, checked.
    raw : the same as plain tables; ``card["sound"]`` and ``card["display"]`` are the hearing room's.
    """

    key: str
    file: CardFile = field(repr=False)
    raw: Mapping[str, Any] = field(repr=False)

    def __getitem__(self, table: str) -> Mapping[str, Any]:
        """Give a table of the card as plain values.

        Raises
        ------
        SettingsError
            If the card has no such table, as a bird that is judged by its ground but not yet by ear.
        """
        if table not in self.raw:
            raise SettingsError(
                f"species card {self.key} has no table [{table}]: its ground can be judged, no walk planned by ear; "
                "choose another card, or write the table into a card of your own"
            )
        return MappingProxyType(self.raw[table])

    @property
    def stand_off_m(self) -> float:
        """Distance that one keeps from where the bird displays; 0 where the card gives none [m]."""
        return float(self.file.conduct.get("stand_off_m", 0.0))

    @property
    def name(self) -> str:
        """English name."""
        return self.file.name

    @property
    def radii(self) -> RadiiTable:
        """How wide the surroundings are looked at."""
        return self.file.radii

    @property
    def surface(self) -> SurfaceParams:
        """How scores become one surface."""
        return SurfaceParams(self.file.surface.home_radius_m, self.file.surface.floor)

    @property
    def patch(self) -> PatchParams:
        """What counts as a patch of good ground."""
        table = self.file.patch
        return PatchParams(table.good_from, table.least_ha, table.edge_m, table.spacing_m)

    def region(self, key: str) -> RegionTable:
        """Give one region.

        Raises
        ------
        SettingsError
            If the card has no such region, with the nearest and all that it has.
        """
        if key not in self.file.region:
            near = get_close_matches(key, list(self.file.region), n=1)
            hint = f"did you mean {near[0]!r}? " if near else ""
            raise SettingsError(
                f"species card {self.key}: no region {key!r}; {hint}it has {', '.join(self.file.region)} "
                "(trip file: ground.region)"
            )
        return self.file.region[key]

    def needs(self, region: str) -> tuple[Need, ...]:
        """Give the needs with the weights and curves of a region."""
        own = self.region(region)
        return tuple(
            _need(table, own.weights.get(table.key, table.weight), own.curves.get(table.key, table.curve))
            for table in self.file.need
        )

    def cover_quality(self, region: str) -> tuple[Mapping[int, float], Mapping[int, float]]:
        """Give the quality of the cover kinds of a region, by code: at the usual mix of ages, and at the best age.

        The two differ by ``cover.age_unknown`` in forest; outside it age tells nothing and there is no best.
        """
        column = self.file.cover.columns.index(self.region(region).column)
        usual: dict[int, float] = {}
        best: dict[int, float] = {}
        for key, row in self.file.cover.kinds.items():
            kind = kind_by_key(key)
            if row.best is not None:
                best[kind.code] = row.best[column]
                usual[kind.code] = row.best[column] * self.file.cover.age_unknown
            if row.usual is not None:
                usual[kind.code] = row.usual[column]
                if kind.forest and row.best is None:
                    best[kind.code] = min(1.0, row.usual[column] / self.file.cover.age_unknown)
        return MappingProxyType(usual), MappingProxyType(best)

    def landscape_shares(self, region: str) -> Mapping[int, float]:
        """Give how much of a cell of each kind counts for the landscape, by code; water and unknown are no land."""
        column = self.file.cover.columns.index(self.region(region).column)
        worth = {
            kind_by_key(key).code: value[column] if isinstance(value, list) else value
            for key, value in self.file.landscape.items()
            if not isinstance(value, str)
        }
        land = (kind.code for kind in cover_kinds().values() if kind.group not in {"", "water"})
        return MappingProxyType({code: worth.get(code, 0.0) for code in land})

    def density(self, region: str, cycle: Cycle) -> DensityParams:
        """Give what the best ground of a region holds in a year of the cycle."""
        table = self.file.density
        sources = (table.source, table.region_source, table.cycle_source, self.region(region).source)
        return DensityParams(
            best_per_km2=table.best_per_km2,
            region_factor=self.region(region).factor,
            cycle_factor=getattr(table, cycle),
            region_log_sd=table.region_log_sd,
            cycle_log_sd=table.unknown_log_sd if cycle == "unknown" else table.known_log_sd,
            sources=sources,
        )

    @property
    def sources(self) -> tuple[str, ...]:
        """Every source key of the card, sorted, without judgements."""
        return tuple(sorted({s for s in _sources_in(self.raw) if s != DEFINITION and not s.startswith(JUDGEMENT)}))

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Every judgement of the card that no source supports, in its own words, each once."""
        words = (s.removeprefix(JUDGEMENT).strip() for s in _sources_in(self.raw) if s.startswith(JUDGEMENT))
        return tuple(dict.fromkeys(words))


def read_card(name_or_path: str | Path) -> SpeciesCard:
    """Read a species card.

    Parameters
    ----------
    name_or_path : name of a card that comes with hushwalk, or the path of one's own TOML file.

    Returns
    -------
    SpeciesCard

    Raises
    ------
    MissingFileError
        If there is no such card.
    SettingsError
        If the card says something that cannot be, with its table and key.

    Examples
    --------
    >>> read_card("ruffed_grouse").name
    'ruffed grouse'
    """
    key, text = read_card_text(name_or_path)
    file, raw = parse_card(text, key)
    card = SpeciesCard(key, file, MappingProxyType(raw))
    _check_together(card)
    return card


def path_of_card(name_or_path: str, folder: Path) -> str:
    """Give the path of a card that lies in the folder of the file that names it; anything else as it stands."""
    own = folder / name_or_path
    return str(own.resolve()) if name_or_path not in card_names() and own.is_file() else name_or_path


def species_cards() -> Mapping[str, SpeciesCard]:
    """Give every card that comes with hushwalk, by its key."""
    return MappingProxyType({key: read_card(key) for key in card_names()})


def _need(table: NeedTable, weight: float, knees: Knees) -> Need:
    curve = Curve(tuple(knee[0] for knee in knees), tuple(knee[1] for knee in knees))
    return Need(
        table.key,
        table.label,
        table.unit,
        table.role,
        weight,
        curve,
        table.season,
        table.source,
        table.grade,
        table.when_absent,
        table.absent_source,
        table.optional,
        table.stands_in_for,
    )


def _check_together(card: SpeciesCard) -> None:
    file, where = card.file, f"species card {card.key}"
    keys = [need.key for need in file.need]
    for key in keys:
        if key not in INGREDIENTS or keys.count(key) > 1:
            raise SettingsError(f"{where}: need {key!r} is no ingredient or stands twice; known: {INGREDIENTS}")
    for name, region in file.region.items():
        if region.column not in file.cover.columns:
            raise SettingsError(f"{where}: region.{name}.column = {region.column!r} is none of {file.cover.columns}")
        for key in (*region.weights, *region.curves):
            if key not in keys:
                raise SettingsError(f"{where}: region.{name} changes {key!r}, which is no need of the card")
    for kind, row in file.cover.kinds.items():
        given = [column for column in (row.best, row.usual) if column is not None]
        if not given or any(len(column) != len(file.cover.columns) for column in given):
            raise SettingsError(f"{where}: cover.kinds.{kind} needs `best` or `usual`, one number a column")
    _check_outlines(file, where)
    _check_words(card, where)


def _check_outlines(file: CardFile, where: str) -> None:
    ranged = [] if file.range is None else file.range.outlines
    for outline in (*ranged, *(one for region in file.region.values() for one in region.outlines)):
        if any(abs(lon) > 180 or abs(lat) > 90 for lon, lat in outline):  # noqa: PLR2004 - the globe
            raise SettingsError(f"{where}: corners of outlines are [longitude, latitude] in degrees, got {outline}")


def _check_words(card: SpeciesCard, where: str) -> None:
    try:
        for key in (*card.file.cover.kinds, *(k for k in card.file.landscape if k != "source")):
            kind_by_key(key)
        for region in card.file.region:
            card.needs(region)
        for source in _sources_in(card.raw):
            cite(source)
    except (InputError, SettingsError, KeyError) as fault:
        raise SettingsError(f"{where}: {fault}") from None
    columns = len(card.file.cover.columns)
    keys = {need.key for need in card.file.need}
    for need in card.file.need:
        if need.stands_in_for and need.stands_in_for not in keys:
            raise SettingsError(f"{where}: need {need.key!r} stands in for {need.stands_in_for!r}, no need of the card")
    for key, share in card.file.landscape.items():
        if key != "source" and (isinstance(share, str) or (isinstance(share, list) and len(share) != columns)):
            raise SettingsError(f"{where}: landscape.{key} is a share 0..1, or a list of one a column of cover.columns")


def _sources_in(value: object) -> list[str]:
    """Give every source that a table cites, in its order."""
    if isinstance(value, Mapping):
        own = [v for k, v in value.items() if isinstance(v, str) and (k == "source" or k.endswith("_source"))]
        return own + [s for v in value.values() for s in _sources_in(v)]
    if isinstance(value, list):
        return [s for item in value for s in _sources_in(item)]
    return []

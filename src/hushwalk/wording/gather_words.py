"""What came of gathering layers, in words: layer by layer, what the plan loses, which terms hold.

Gathering is the business of the room gather.
"""

from collections.abc import Sequence

from hushwalk.gather.dry_run import Probed, WouldAsk
from hushwalk.gather.story import Gathered
from hushwalk.site.manifest import LayerSource
from hushwalk.text import counted

MARK = {"got": "got   ", "partly": "partly", "absent": "none  ", "failed": "FAILED"}
LOSS = {
    "elevation": "no plan can be made without heights: add a raster of heights by hand",
    "cover": "nothing tells good ground from bad",
    "canopy_cover": "open woods are not told from closed ones",
    "canopy_height": "young and tall woods are not told apart by their height",
    "stand_age": "young forest is not told from old",
    "streams": "noise, fords and strips of cover along running water are not planned with",
    "water": "lakes are known from the land cover alone, if at all",
    "wetlands": "wet ground is known from the land cover alone, if at all",
    "closed": "no closed ground is known: ask, and draw it in the trip file",
    "trails": "every step is planned off trail",
    "roads": "where a car can drive and walk before dawn is not known",
    "buildings": "stops are not kept away from houses",
    "parking": "no car park is known; the car stands where you say",
    "protected": "protected ground is not shown",
}
"""What a plan loses by a layer that is not there."""
NOT_PERMISSION = (
    "What no service shows as closed is not thereby open: absence of a closure is never permission to enter. Posted "
    "and private land, leases, seasonal closures and bird protection dates stand in no open layer; ask, and draw what "
    "you learn into the trip file as [[closed]]."
)


def gathered_words(gathered: Gathered) -> str:
    """Say what was gathered and what was not."""
    wide = max(len(one.kind) for one in gathered.layers)
    there = {one.kind for one in gathered.layers if one.is_there}
    lines = [line for one in gathered.layers for line in _layer(one, wide, lost=one.kind not in there)]
    credit = dict.fromkeys(f"  {one.label}: {one.credit} ({one.licence})" for one in gathered.layers if one.is_there)
    return "\n".join(
        [*lines, "", "credit that goes with every map and file made of this:", *credit, "", NOT_PERMISSION]
    )


def _layer(one: LayerSource, wide: int, *, lost: bool) -> list[str]:
    head = f"{MARK[one.state]}  {one.kind:{wide}}  "
    if one.is_there:
        size = f"{one.n_bytes / 1e6:.1f} MB"
        held = (
            f"{one.valid_share:.0%} known" if one.valid_share is not None else counted(one.n_features or 0, "feature")
        )
        lines = [f"{head}{one.label} ({one.edition}): {one.file}, {size}, {held}"]
        lines += [f"{'':8}{one.reason}"] if one.reason else []
    else:
        lines = [f"{head}{one.reason or one.label}"]
        lines += [f"{'':8}without it: {LOSS.get(one.kind, 'the plan says less')}"] if lost else []
    return [
        *lines,
        *(f"{'':8}tried before: {words}" for words in one.tried),
        *([f"{'':8}{one.note}"] if one.note else []),
    ]


def would_ask_words(asks: Sequence[WouldAsk]) -> str:
    """Say what would be asked, with addresses."""
    lines = []
    for one in asks:
        lines.append(f"{one.kind}: {one.label}, about {one.megabytes:.1f} MB")
        lines += [f"    {full}" for full in one.addresses]
        lines += [f"    if that fails: {', then '.join(one.instead)}"] if one.instead else []
    total = sum(one.megabytes for one in asks)
    return "\n".join([*lines, f"about {total:.0f} MB in all; nothing was asked"])


def probe_line(one: Probed) -> str:
    """Say what one service answered."""
    return f"{'good  ' if one.good else 'FAILED'}  {one.key:22} {one.seconds:5.1f} s  {one.said}"


def ungathered_words(one: LayerSource) -> str:
    """Say why a layer is not there."""
    tried = f"; before that {'; '.join(one.tried)}" if one.tried else ""
    return f"not gathered, {one.state}: {one.reason or one.label}{tried}"

"""Credits in words: whose data a map is made of, on which terms, in full and in one line.

Which layers must be credited is site/manifest.py's business.
"""

from collections.abc import Sequence

from hushwalk.site.manifest import Credit

LONGEST = 40  # judgement: signs of a sentence that still goes into a line; else the product is named


def credit_sentences(credits_: Sequence[Credit]) -> tuple[str, ...]:
    """Give each credit in full, with its terms."""
    return tuple(
        f"{one.label}: {one.sentence.rstrip('.')} ({one.licence}, {one.licence_link}); clipped and reprojected"
        for one in credits_
    )


def credit_line(credits_: Sequence[Credit], most: int | None = None) -> str:
    """Give credits in one line; empty where there is nothing to credit.

    Parameters
    ----------
    credits_ : of the layers; those that are a short sentence come first.
    most : how many are named; the others are counted.

    Examples
    --------
    >>> osm = Credit("OpenStreetMap", "© OpenStreetMap contributors", "ODbL 1.0", "https://example.org")
    >>> credit_line([osm])
    'Map data: © OpenStreetMap contributors'
    """
    short = {one.sentence: len(one.sentence) > LONGEST and one.label for one in credits_}
    names = list(
        dict.fromkeys(label or sentence for sentence, label in sorted(short.items(), key=lambda row: bool(row[1])))
    )
    if not names:
        return ""
    shown = names[: len(names) if most is None else most]
    rest = len(names) - len(shown)
    return f"Map data: {', '.join(shown)}" + (f" and {rest} others, named with the cautions" if rest else "")

"""Sources by key."""

import pytest

from hushwalk.errors import SourceError
from hushwalk.sources import all_sources, cite


def test_a_judgement_and_a_definition_cite_themselves() -> None:
    assert cite("judgement: rounded") == "judgement: rounded"
    assert cite("definition") == "definition"


def test_an_unknown_key_is_told() -> None:
    with pytest.raises(SourceError, match="no source 'nobody_1999'"):
        cite("nobody_1999")


def test_every_source_has_words() -> None:
    assert all(source.text for source in all_sources().values())

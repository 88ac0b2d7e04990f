from hushwalk.notes.ledger import UnreadRow
from hushwalk.wording.unread_words import unread_words


def test_a_row_is_named_with_its_table_and_why():
    (line,) = unread_words([UnreadRow("sightings", 2, "error 'rouge' is unknown")])
    assert line.startswith("row 2 of sightings")
    assert line.endswith("error 'rouge' is unknown")
    assert unread_words([]) == []

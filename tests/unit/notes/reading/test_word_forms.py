"""Words as tired people write them: taken where they are clear, else the nearest right form is shown."""

import pytest

from hushwalk.errors import InputError
from hushwalk.notes.reading.typed_line import read_line
from hushwalk.notes.reading.word_forms import WordError, split_words

STOPS = ("P01", "P03", "P12")


def only(line):
    (said,) = read_line(split_words(line), STOPS)
    return dict(said.cells)


P03 = {"stop": "P03", "reading_deg": "085"}


@pytest.mark.parametrize(
    ("line", "cells"),
    [
        ("P03 085,5", {"stop": "P03", "reading_deg": "085.5"}),
        ("P03 85\u00b0", {"stop": "P03", "reading_deg": "85"}),
        ("P03 85\u00b0M", {"stop": "P03", "reading_deg": "85", "north": "M"}),
        ("P03 85 deg", {"stop": "P03", "reading_deg": "85"}),
        ("P03, b1, 085;", P03 | {"bird": "B1"}),
        ("P03 085 5.12", P03 | {"start": "5.12"}),
        ("P03 085 5:12am", P03 | {"start": "5:12am"}),
        ("P03 085 5:12 am", P03 | {"start": "5:12am"}),
        ("P03 085 06:12:40", P03 | {"start": "06:12:40"}),
        ("P03 085 x3", P03 | {"times": "3"}),
        ("P03 085 3x middle", P03 | {"times": "3", "distance": "mid"}),
        ("P03 085 times=3 phone", P03 | {"times": "3", "remark": "phone compass"}),
        ("P03 \u201c085\u201d say=\u201ctwo of them\u201d", P03 | {"remark": "two of them"}),
        ('P03 085 "two of them" phone', P03 | {"remark": "two of them; phone compass"}),
        ("2027-04-24 P03 085", P03 | {"date": "2027-04-24"}),
        ("P03 085 2027-04-24T06:12", P03 | {"start": "2027-04-24T06:12"}),
        ("P12 silent", {"stop": "P12", "heard": "no"}),
        (
            'b1 085 at="47.3, -90.2" 06:12-06:18 wind=calm',
            {"bird": "B1", "reading_deg": "085", "place": "47.3, -90.2", "start": "06:12"}
            | {"remark": "wind calm; until 06:18"},
        ),
        ("log3 fresh wind=calm", {"name": "LOG03", "droppings": "fresh", "remark": "wind calm"}),
        (
            'watch wind=calm say="he came"',
            {"session": "watch", "what": "wind calm; he came"},
        ),
    ],
)
def test_what_is_clear_is_taken(line, cells):
    assert only(line) == cells


def test_wind_with_a_bearing_at_a_stop_is_of_the_visit():
    visit, bearing = read_line(("P03", "085", "06:12", "wind=calm"), STOPS)
    assert visit.cells == {"stop": "P03", "start": "06:12", "heard": "yes", "wind": "calm"}
    assert bearing.cells == P03 | {"start": "06:12"}


@pytest.mark.parametrize(
    ("line", "word", "hint"),
    [
        ("P03 b2 NNE", "NNE", "is 'NNE' 022 rough?"),
        ("P03 b2 0855", "0855", "is it the bearing 085 or 085.5?"),
        ("P03 b2 085 0861", "0861", "is it 086 or 086.1?"),
        ("P03 1 085", "1", "is 1 the bird b1?"),
        ("P03 5.12", "5.12", "5.12 is the time 5:12"),
        ("P03 512", "512", "is it the time 5:12?"),
        ("P03 085 5am", "5am", "is it 5:00am?"),
        ("P03 o85", "o85", "is 'o85' 085?"),
        ("P03 2b 085", "2b", "is it b2?"),
        ("P03 085 M", "M", "085M, without a space"),
        ("P03 085 farr", "farr", "is it far?"),
        ("P03 nill", "nill", "is 'nill' nil?"),
        ("undo", "undo", "--strike KEY"),
        ("delete 3f2a", "delete", "--strike KEY"),
        ("P03 085 delete", "delete", "--strike KEY"),
    ],
)
def test_a_refusal_names_the_word_and_the_nearest_right_form(line, word, hint):
    with pytest.raises(WordError) as output:
        read_line(split_words(line), STOPS)
    assert output.value.word == word
    assert hint in str(output.value)


def test_a_quote_that_is_not_closed_is_refused():
    assert split_words('P03 085 say="don\'t know"') == ("P03", "085", "say=don't know")
    with pytest.raises(InputError, match="opened and never closed"):
        split_words('P03 085 say="two of')

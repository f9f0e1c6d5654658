"""What a spreadsheet or a change of encoding did to a cell is recognised by its look, and nothing else is."""

import pytest

from heritagemove.files.damage import broken, encoding, hint

DATE, SHORTENED, ZEROS = "has made a date of it", "has shortened a long number", "drops the zeros in front"

HINTS = [
    ("5-Jan", DATE), ("05-Jan-27", DATE), ("Jan-27", DATE), ("2027-01-05", DATE), ("1/5/2027", DATE), ("5.1.27", DATE),
    ("2027-01-05 00:00:00", DATE), ("1.2E+11", SHORTENED), ("1,2E+11", SHORTENED), ("2E5 lb", SHORTENED),
    ("12,5", "did you mean 12.5?"), ("12,5 m", "did you mean 12.5 m?"), ("0,500 m", "did you mean 0.500 m?"),
    ("-0,6", "did you mean -0.6?"), ("1.234.567", "did you mean 1,234,567?"), ("1.234,5 kg", "did you mean 1,234.5 kg?"),
    ("104 326,5 kg", "did you mean 104,326.5 kg?"), ("1'200", "did you mean 1,200?"), ("1 200.5", "did you mean 1,200.5?"),
    ("50,00\u00a0%", "did you mean 50.00 %?"),
    ("1\u00a0200", "did you mean 1,200?"), ("TRUE", "did you mean yes?"), ("No", "did you mean no?"),
]  # fmt: skip
PLAIN = ["", "soon", "1,200", "1,200.5", "12.5", "44 ft 6 in", "5-1/2 x 10", "230,000 lb",
         "98 ton", "12 lb 3 oz", "-", "a,b", "1,234,567 lb"]  # fmt: skip


@pytest.mark.parametrize(("text", "said"), HINTS)
def test_what_a_spreadsheet_did_is_said_with_the_way_back(text, said):
    assert said in hint(text)


@pytest.mark.parametrize("text", PLAIN)
def test_nothing_is_said_of_what_no_spreadsheet_did(text):
    assert hint(text) == ""


def test_digits_are_a_lost_zero_only_where_an_id_was_wanted():
    assert ZEROS in hint("417", is_id=True)
    assert hint("417") == ""


BROKEN = ["#REF!", "#N/A", "########", "Caf\ufffd", "CafÃ©", "weâ€™ve", "a\x07b", "a\x00b", "\x1b[31m"]


@pytest.mark.parametrize("text", BROKEN)
def test_what_no_cell_may_hold_is_refused_in_every_column(text):
    assert broken(text)


@pytest.mark.parametrize("text", ["#1 boiler", "Café", "naïve £", "東京", "שלום", "a\nb", "a\tb", "Ã", "½", "don’t", "€ 5"])
def test_letters_of_every_language_are_left_alone(text):
    assert broken(text) == ""


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ("a,b\ncafé,1\n".encode("latin-1"), "letters of Windows-1252 or Latin-1, first in line 2"),
        ("a,b\n".encode("utf-16"), "UTF-16"),
        ("a,b\n".encode("utf-16-le"), "UTF-16"),
        (b"PK\x03\x04rest", "a workbook with another ending"),
        ("a,b\ncafé,1\n".encode(), ""),
        ("a,b\ncafé,1\n".encode("utf-8-sig"), ""),
        (b"", ""),
    ],
)
def test_an_encoding_is_named_in_words(data, words):
    assert encoding(data).startswith(words) and bool(encoding(data)) == bool(words)

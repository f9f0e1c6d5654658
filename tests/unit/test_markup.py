"""Every table on a screen can be saved as CSV, as numbers and as text that no spreadsheet runs."""

import base64
import csv
import datetime as dt
import io
import json
import re
from pathlib import Path

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.panels import markup
from heritagemove.trials.simulation import draw
from heritagemove.units.described import Heading, Marked

PAYLOADS = json.loads((Path(__file__).parents[1] / "payloads.json").read_text(encoding="utf-8"))


def _saved(html):
    data = re.search(r'href="data:text/csv;charset=utf-8;base64,([^"]+)"', html)[1]
    text = base64.b64decode(data).decode("utf-8-sig")
    return list(csv.reader(io.StringIO(text)))


def test_numbers_are_numbers_and_words_are_words():
    rows = [(Marked(3, "Convert & roll"), 121320.4, ("a", "b")), ("x", -1.5, "007"), ("y", None, "50%")]
    lines = _saved(markup.table("Paths of <x>", ("Path", Heading("Cost", kind="tenths", unit="USD"), "Why"), rows))
    assert lines == [
        ["Path", "Cost [USD]", "Why"],
        ["3 Convert & roll", "121320.4", "a; b"],
        ["x", "-1.5", "007"],
        ["y", "unknown", "50%"],
    ]


def test_a_link_names_the_table_it_saves_and_escapes_it():
    html = markup.table('"><script>', ("a", "b"), [("1", "2"), ("3", "4")])
    assert 'download="script.csv"' in html and "<script>" not in html


def test_no_hostile_text_becomes_a_formula():
    assert len(PAYLOADS) >= 100
    html = markup.table("t", ("a", "b"), [(text, text) for text in PAYLOADS])
    for line in _saved(html)[1:]:
        assert not line[0].startswith(("=", "+", "@", "\t", "\r")) and not re.match(r"-(?!\d)", line[0])


def test_every_row_of_the_table_of_paths_is_saved(museum):
    comparison = compare_paths(museum, "foundry_switcher", None, draw(museum, trials=200))
    lines = _saved(markup.paths_table(comparison))
    assert len(lines) == len(comparison.paths) + 1
    for line, result in zip(lines[1:], comparison.paths, strict=True):
        assert line[0].startswith(f"{result.number} {result.title}") and line[1].endswith(result.status)


def test_a_table_escapes_every_text_and_shows_numbers_dates_and_unknowns_alike():
    html = markup.table("t", ("a", "b", "c", "d"), [("<i>", dt.date(2027, 10, 15), 1234.6, None), ("", "", 0, "")])
    assert "&lt;i&gt;" in html and ">15 Oct 2027<" in html and ">1,235<" in html and ">unknown<" in html


def test_a_cell_takes_no_markup():
    with pytest.raises(TypeError, match="Why: a cell holds a plain value"):
        markup.table("t", ("Path", "Why"), [("a", markup.Html("<b>b</b>"))])

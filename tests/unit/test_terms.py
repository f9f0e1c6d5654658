"""Terms explain themselves in one line, under mouse and keyboard, and stand in one list."""

import re

from heritagemove.panels import markup
from heritagemove.panels.glossed import glossed
from heritagemove.panels.methods import show_methods
from heritagemove.panels.state import Desk
from heritagemove.units.described import Heading, described
from heritagemove.units.terms import TERMS, table_of_terms, terms_in


def test_each_term_is_explained_in_one_line_once():
    words = [each.lower() for term in TERMS for each in (term.name, *term.also)]
    assert len(words) == len(set(words))
    assert all(0 < len(term.says) <= 120 and "\n" not in term.says for term in TERMS)
    assert {"P80", "gate", "Cooper", "journal"} <= {term.name for term in TERMS}


def test_a_text_in_parts_is_the_text():
    text = "Gates met at P80: tie-downs hold, Cooper E46; trucks and a <journal>."
    assert "".join(part for part, _ in terms_in(text)) == text
    assert [term.name for _, term in terms_in(text) if term] == ["gate", "P80", "tie-down", "Cooper", "truck", "journal"]
    assert terms_in("investigate, P800, P80-like") == [("investigate, P800, P80-like", None)]


def test_a_term_can_be_focused_and_says_what_it_means_where_it_stands_first():
    table = described("t", [Heading("P80 <x>", str), Heading("P50 and P80", str)], ["a", "b"])
    shown = markup.table_of(table)
    terms = re.findall(r'<span class="hm-term" tabindex="0" role="note" aria-description="([^"]+)">(P\d\d)', shown)
    assert [name for _, name in terms] == ["P80", "P50"] and "four futures in five" in terms[0][0]
    assert "&lt;x&gt;" in shown and ":focus > span" in shown and "<script" not in shown
    assert glossed("P80", {"P80"}) == "P80"


def test_every_term_stands_in_the_glossary_of_the_methods_notebook(museum):
    shown = show_methods(Desk(museum, "caboose"))
    assert all(markup.escape(term.says) in shown for term in TERMS)
    assert len(table_of_terms()) == len(TERMS)

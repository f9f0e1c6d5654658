"""No screen, page, workbook or chart of a museum with SI units and prices in euro shows a customary unit or a dollar."""

import base64
import re
import shutil
from html import unescape
from pathlib import Path
from types import SimpleNamespace

import ipywidgets as widgets
import openpyxl
import pytest

import heritagemove as hm
from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over.page import content, names_of, render, site_page
from heritagemove.hand_over.page.site import site_of
from heritagemove.hand_over.workbook import write_workbook
from heritagemove.panels import books, tracking
from heritagemove.panels.all_screens import SCREENS_BY_TOPIC
from heritagemove.panels.state import Desk
from heritagemove.trials.simulation import draw

ABROAD = Path(__file__).resolve().parents[2] / "data" / "elsewhere" / "melderbach"
#: Whole words that stand for a customary unit or another country's money wherever they stand.
WORDS = re.compile(
    r"(?<![\w/-])(inch(?:es)?|foot|feet|miles?|mph|pounds?|lbs?|lbf|psi|psf|kips?|short[ _]tons?|USD|dollars?)(?![\w-])|\$"
    # A word of ordinary English, but a unit behind a number, in a heading's brackets or as an axis.
    r"|(?<=\d )(?:ft|in)(?![\w])(?! all\b| time\b| one\b| words?\b| turn\b| 100\b)|\[(?:in|ft|ton)\]"
)
#: What the trade calls so in every country, or what names a source and not a measure of this museum.
STANDARD = re.compile(
    # A journal's size is a designation of the trade in inches, such as 5-1/2 x 10; the cell is typed so.
    r"diameter x length in inches"
    # The formula of a resistance, quoted with its source.
    r"|US Army TR0603, pages 76-83 \(20 lb/ton per percent, 0\.8 lb/ton per degree\)"
    # What a cell takes: both systems, since a planner may read either off a drawing; what is in it is in the museum's.
    r"|a (?:length|weight|distance|speed) such as [^:]*?(?:m|km|km/h|tonne)\b|money such as 1,200 USD or \$1,200"
    r"|distances with ; between them, such as [^:]*? m\b"
    # Which of the three tons somebody means is asked by their names.
    r"|a ton means: short_ton, long_ton, tonne|short ton long ton tonne"
)
#: Shows the published sources and their worked examples as printed, whatever museum is open.
PUBLISHED = {"methods.formulas"}


@pytest.fixture(scope="module")
def abroad():
    return hm.load(ABROAD)


@pytest.fixture(scope="module")
def samples(abroad):
    return draw(abroad, trials=200)


@pytest.fixture(scope="module")
def screens(abroad, samples, tmp_path_factory):
    """Every screen that a notebook can show, by topic and name."""
    desk, folder = Desk(abroad, "tank_engine", samples), tmp_path_factory.mktemp("screens")
    copy = shutil.copytree(ABROAD.parent, folder / "elsewhere")
    desk_moved = SimpleNamespace(moves=hm.follow(desk.comparison, desk.comparison.choice, on="2027-05-31"), base=abroad)
    shown = {}
    for topic, name in ((topic, name) for topic, entries in SCREENS_BY_TOPIC.items() for name in entries):
        given = {"begin": (copy / "melderbach",), "scenarios": (folder,)}.get(name, ())
        shown[f"{topic}.{name}"] = text_of(getattr(getattr(hm.show, topic), name)(desk, *given))
    for name in ("forecast", "coverage", "papers", "progress", "contingency_left", "close_out", "files"):
        shown[f"tracking {name}"] = text_of(widgets.HTML(getattr(tracking, f"show_{name}")(desk_moved)))
    shown["tracking books"] = text_of(books.keep_books(desk_moved))
    for driver in abroad.scenario.sliders:
        shown[f"break_even.over {driver}"] = text_of(hm.show.break_even.over(desk, driver))
    return {name: text for name, text in shown.items() if name not in PUBLISHED}


def text_of(*widgets):
    """Return all that widgets say: their texts, labels and choices, without markup, and the texts of their charts."""
    said, waiting = [], list(widgets)
    while waiting:
        part = waiting.pop()
        said += [str(getattr(part, name, "") or "") for name in ("data", "value", "description", "tooltip", "placeholder")]
        said += [str(option) for option in getattr(part, "_options_labels", ())]
        waiting += getattr(part, "children", ())
    return plain(" ".join(said))


def plain(markup):
    drawn = (base64.b64decode(data).decode() for data in re.findall(r"data:image/svg\+xml;base64,([\w+/=]+)", markup))
    alts = re.findall(r'(?:alt|aria-label|title)="([^"]*)"', markup)
    text = " ".join([markup, *alts, *drawn])
    text = re.sub(r"<(style|script|metadata).*?</\1>|data:[\w/+;=-]*,[\w+/=%.-]*", " ", text, flags=re.DOTALL)
    return unescape(re.sub(r"<[^>]+>", " ", text))


def customary(text):
    """Return what is found, with some words around it."""
    left = STANDARD.sub(" ", text)
    return [" ".join(left[max(m.start() - 50, 0) : m.end() + 30].split()) for m in WORDS.finditer(left)]


def test_no_screen_shows_a_customary_unit_or_a_dollar(screens):
    assert len(screens) > 40
    found = {name: customary(text) for name, text in screens.items()}
    assert {name: hits for name, hits in found.items() if hits} == {}


@pytest.fixture(scope="module")
def comparisons(abroad, samples):
    return [compare_paths(abroad, row.vehicle, samples=samples) for row in abroad.vehicles]


def test_no_page_of_a_unit_shows_one(comparisons):
    for comparison in comparisons:
        assert customary(plain(render(comparison, full=True))) == []


def test_the_page_of_the_whole_site_shows_none(comparisons):
    site, files = site_of(comparisons), names_of(comparison.vehicle for comparison in comparisons)
    assert customary(plain(site_page(content(comparisons, site=site), files, site))) == []


def test_the_workbook_shows_none(abroad, samples, tmp_path):
    place = write_workbook(compare_paths(abroad, "tank_engine", samples=samples), tmp_path / "book.xlsx")
    sheets = openpyxl.load_workbook(place, data_only=True)
    cells = [str(cell.value) for sheet in sheets for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert len(cells) > 200
    assert customary("\n".join([*sheets.sheetnames, *cells])) == []


def test_the_search_finds_customary_units_and_leaves_ordinary_words():
    """The search itself: without this, a slip in its pattern would pass everything above."""
    for text in ("14 ft 6 in", "[mile]", "5 miles", "230,000 lb", "2,000 lb/ft²", "[in]", "98 short tons", "3 USD", "$5"):
        assert customary(text), text
    for text in ("2 in all", "walk on its footing", "4 km", "41.5 t", "once in a while", "5 EUR", "60 kN/m"):
        assert customary(text) == [], text

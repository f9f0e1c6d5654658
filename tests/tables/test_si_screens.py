"""No screen, page, workbook or chart of a museum with SI units and prices in euro shows a customary unit or a dollar."""

import base64
import re
import shutil
from html import unescape
from pathlib import Path

import openpyxl
import pytest

import heritagemove as hm
from heritagemove import panels
from heritagemove.hand_over.page import render
from heritagemove.hand_over.page.site import site_of
from heritagemove.hand_over.workbook import write_workbook

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
)
#: Shows the published sources and their worked examples as printed, whatever museum is open.
PUBLISHED = {"show_methods"}


@pytest.fixture(scope="module")
def abroad():
    return hm.load_museum(ABROAD)


@pytest.fixture(scope="module")
def samples(abroad):
    return hm.draw(abroad, trials=200)


@pytest.fixture(scope="module")
def screens(abroad, samples, tmp_path_factory):
    """Every screen that a notebook can show, by the name of its function."""
    state = hm.Desk(abroad, "tank_engine", samples=samples)
    fleet = hm.fleet_of(abroad, trials=200)
    plans = hm.frontier(fleet)
    site = hm.decide_site(fleet, plans)
    plan = hm.compare_paths(abroad, "tank_engine", samples=samples)
    moves = hm.follow(plan, plan.choice, on="2027-05-31")
    unit, folder = (abroad, "tank_engine"), tmp_path_factory.mktemp("screens")
    copy = shutil.copytree(ABROAD.parent, folder / "elsewhere")
    others = [(option.vehicle, option.path) for option in plans[-1].options if option.vehicle != "tank_engine"]
    given = {
        "choose_units": (fleet, 230_000), "show_bank": (fleet, plans[-1]), "show_lost_funds": (fleet, plans[-1]),
        "show_carried": (fleet, site, "regional_heritage"), "show_company": (fleet, "tank_engine", others),
        "show_crane": (fleet,), "show_doing_nothing": (fleet,), "show_sets": (fleet, site),
        "show_shares": (fleet, plans[-1]), "show_scenarios": (state, folder), "your_museum": (copy / "melderbach",),
        **{name: unit for name in ("engineering", "show_journals", "show_readiness", "show_sheet", "show_unknowns",
                                   "show_vehicle", "survey_sheet")},
        **{name: (abroad,) for name in ("show_cautions", "show_changes", "show_methods", "show_museum", "show_paths",
                                        "show_survey_cautions")},
        **{name: (moves,) for name in ("keep_books", "show_close_out", "show_contingency_left", "show_coverage",
                                       "show_files", "show_forecast", "show_papers", "show_progress")},
    }  # fmt: skip
    names = [name for name in panels.__all__ if name[0].islower() and name not in PUBLISHED]
    shown = {name: text_of(getattr(panels, name)(*given.get(name, (state,)))) for name in names}
    for driver in abroad.scenario.sliders:
        shown[f"show_break_even {driver}"] = text_of(panels.show_break_even(state, driver))
    return shown


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
    return [hm.compare_paths(abroad, row.vehicle, samples=samples) for row in abroad.vehicles]


def test_no_page_of_a_unit_shows_one(comparisons):
    for comparison in comparisons:
        assert customary(plain(render(comparison))) == []


def test_the_page_of_the_whole_site_shows_none(comparisons):
    assert customary(plain(render(comparisons, site=site_of(comparisons)))) == []


def test_the_workbook_shows_none(abroad, samples, tmp_path):
    place = write_workbook(hm.compare_paths(abroad, "tank_engine", samples=samples), tmp_path / "book.xlsx")
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

"""The sheets for others as they are printed: one for the day, at most three for a request, on Letter and on A4."""

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over.hand_outs import day_sheet, render_hand_out, request_sheet
from heritagemove.trials.simulation import draw

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def consolidation(museum):
    """The unit of most pieces, roles and papers."""
    return compare_paths(museum, "consolidation", samples=draw(museum, trials=200))


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_the_day_takes_one_sheet_and_a_request_at_most_three(browser, consolidation, paper):
    page = browser.new_page()
    for sheet, most in ((day_sheet(consolidation), 1), (request_sheet(consolidation, "hauler"), 3)):
        page.set_content(render_hand_out(sheet))
        printed = page.pdf(format=paper)
        sheets = printed.count(b"/Type /Page\n") + printed.count(b"/Type /Page ")
        assert 1 <= sheets <= most, sheet.heading
    page.close()


def test_on_a_phone_a_wide_table_scrolls_and_the_sheet_does_not(browser, consolidation):
    page = browser.new_page(viewport={"width": 360, "height": 740})
    page.set_content(render_hand_out(request_sheet(consolidation, "hauler")))
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.close()


@pytest.mark.parametrize("width", [360, pytest.param(1280, marks=pytest.mark.long)])
def test_axe_finds_nothing_on_the_sheets(browser, consolidation, width):
    from axe_playwright_python.sync_playwright import Axe

    context = browser.new_context(viewport={"width": width, "height": 800}, bypass_csp=True)
    page = context.new_page()
    for sheet in (day_sheet(consolidation), request_sheet(consolidation, "railroad", "own_wheels")):
        page.set_content(render_hand_out(sheet))
        found = Axe().run(page).response["violations"]
        assert [(each["id"], each["nodes"][0]["html"]) for each in found] == [], sheet.heading
    context.close()

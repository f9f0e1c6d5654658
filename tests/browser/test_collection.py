"""Every notebook of the collection as a planner meets it: opened, Run All once, looked at, one control moved."""

import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

pytestmark = pytest.mark.browser

TOP = Path(__file__).resolve().parents[2]
NOTEBOOKS = sorted(path.stem for path in (TOP / "notebooks").glob("*.ipynb"))
#: Words and forms, no picture.
WITHOUT_PICTURE = ("start_here", "survey", "your_museum", "methods")
PICTURES = '.jp-Notebook img[src^="data:image/svg+xml"]'
WRONG = '[data-mime-type="application/vnd.jupyter.error"], [data-mime-type="application/vnd.jupyter.stderr"]'
OUTPUTS = ".jp-OutputArea-output"
#: What a planner sees of the answers: texts and pictures of the cells' outputs.
SEEN = """() => [...document.querySelectorAll('.jp-OutputArea-output')].map(
  output => output.innerText + [...output.querySelectorAll('img')].map(image => image.src).join()).join()"""
CHANGED = f"before => ({SEEN})() !== before"


def press(page, control, *keys):
    control.scroll_into_view_if_needed()
    control.focus()
    for key in keys:
        control.press(key)


def first_slider(page):
    press(page, page.locator(".jp-Notebook .noUi-handle").first, "PageUp")


def next_screen(page):
    page.locator(".jp-Notebook").get_by_role("button", name=re.compile("^Next")).click()


def another_path(page):
    page.locator(".jp-Notebook").get_by_label("Path", exact=True).select_option(index=2)


def another_unit(page):
    page.locator(".jp-Notebook").get_by_label("Unit", exact=True).first.select_option(index=2)


def another_fund(page):
    page.get_by_label("If this fund is lost").select_option(index=0)


def weight_of_a_criterion(page):
    press(page, page.locator(".jp-Notebook .noUi-handle").last, "PageUp")


def another_date(page):
    page.get_by_label("Off the site by").fill("2026-06-30")
    page.get_by_label("Off the site by").press("Tab")


def smaller_budget(page):
    page.get_by_label(re.compile("^Budget")).fill("120000")
    page.get_by_label(re.compile("^Budget")).press("Tab")
    page.get_by_role("button", name="Find the best set").click()


def another_measure(page):
    page.get_by_label("How far by road").fill("140 mile")
    page.get_by_label("How far by road").press("Enter")


def look_at_a_box(page):
    page.get_by_role("button", name="Add to the sheet").click()


MOVES = {
    "decision": first_slider,
    "schedule": another_path,
    "committee": next_screen,
    "engineering": first_slider,
    "money_and_risk": another_date,
    "worth_knowing": weight_of_a_criterion,
    "break_even": another_unit,
    "funding": another_fund,
    "fleet": smaller_budget,
    "survey": look_at_a_box,
    "your_museum": another_measure,
}


#: The first thing of an answer that a planner sees: a form, a table, a picture or a sentence.
FIRST_SEEN = """() => { const cells = [...document.querySelectorAll('.jp-Notebook .jp-Cell')].slice(1);
  const shown = cells.flatMap(cell => [...cell.querySelectorAll('img, table, input, [role=status], .hm-large')]);
  const panel = document.querySelector('.jp-Notebook').getBoundingClientRect();
  const tops = shown.map(one => one.getBoundingClientRect()).filter(box => box.height > 0).map(box => box.top);
  const title = document.querySelector('.jp-Notebook h1').getBoundingClientRect().top;
  return [title - panel.top, Math.min(...tops) - panel.top, window.innerHeight - 30 - panel.top]; }"""


@pytest.mark.long
@pytest.mark.parametrize("name", NOTEBOOKS)
def test_run_all_once_shows_the_answer_and_a_control_moved_changes_it(notebook, screenshots, name):
    page = notebook(name)
    assert wrong(page) == []
    page.wait_for_timeout(1200)
    for width, height in ((1280, 720), (1920, 1080)):
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_timeout(300)
        page.screenshot(path=screenshots / f"first_screen_{name}_{width}.png")
        title, answer, bottom = page.evaluate(FIRST_SEEN)
        assert 0 <= title < 80 and answer < 0.7 * bottom, (width, title, answer, bottom)
    pictures = page.locator(PICTURES)
    assert (pictures.count() == 0) == (name in WITHOUT_PICTURE)
    for image in pictures.all():
        assert image.evaluate("image => image.decode().then(() => image.naturalWidth > 300)")
        assert len(image.get_attribute("alt")) > 40
    (pictures.first if pictures.count() else page.locator(OUTPUTS).first).scroll_into_view_if_needed()
    page.screenshot(path=screenshots / f"notebook_{name}.png")
    assert serious(page) == []
    if name in MOVES:
        before = page.evaluate(SEEN)
        MOVES[name](page)
        page.wait_for_function(CHANGED, arg=before)
        page.get_by_text("Python 3 (ipykernel) | Idle").wait_for()
        page.screenshot(path=screenshots / f"moved_{name}.png")
        assert wrong(page) == []
    assert page.errors == []


def serious(page):
    """Return what axe-core finds serious or critical in the outputs; JupyterLab's own frame is its makers' matter."""
    found = Axe().run(page, context={"include": [[OUTPUTS]]}).response["violations"]
    return [(v["id"], v["nodes"][0]["html"]) for v in found if v["impact"] in ("serious", "critical")]


def wrong(page):
    """Return what stands in the page as an error: of a cell, of the kernel, of a panel."""
    return [*page.locator(WRONG).all_inner_texts(), *page.locator('.jp-Notebook [role="alert"]:visible').all_inner_texts()]

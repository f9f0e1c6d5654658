"""One's own museum as a planner begins it: the form in JupyterLab in a real browser."""

import pytest

from heritagemove.museum.museum import load_museum

pytestmark = pytest.mark.browser
PATIENT = 120_000


def test_the_first_unit_is_entered_refused_mended_and_written(browser, lab, screenshots, run_all_cells):
    context = browser.new_context(viewport={"width": 1400, "height": 2200})
    page = context.new_page()
    page.set_default_timeout(PATIENT)
    page.goto(lab.url("your_museum.ipynb"))
    weight = page.get_by_label("Weight as it stands")
    run_all_cells(page, weight)
    page.get_by_text("things still unknown").wait_for()
    assert not (lab.folder / "my_museum").exists()
    weight.fill("42 ton")
    weight.press("Enter")
    page.get_by_role("alert").wait_for()
    assert "230,000 lb, 98.5 short_ton or 89 tonne" in page.get_by_role("alert").inner_text()
    page.screenshot(path=screenshots / "your_museum.png")
    weight.fill("42 tonne")
    weight.press("Enter")
    page.get_by_role("alert").wait_for(state="detached")
    page.get_by_role("button", name="Write the tables").click()
    page.get_by_text("Written into").wait_for()
    context.close()
    mine = load_museum(lab.folder / "my_museum")
    (unit,) = mine.vehicles
    assert unit.weight.m_as("tonne") == pytest.approx(42) and mine.body(unit.vehicle).weight is None

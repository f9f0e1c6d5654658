"""The survey and engineering notebooks as a planner meets them: JupyterLab in a real browser."""

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.long]

PATIENT = 60_000
IDLE = "Python 3 (ipykernel) | Idle"
PICTURES = '.jp-Notebook img[src^="data:image/svg+xml"]'
WRONG = '[data-mime-type="application/vnd.jupyter.error"], [data-mime-type="application/vnd.jupyter.stderr"]'
CHANGED = f"before => document.querySelector('{PICTURES}').src !== before"
SAME = f"before => document.querySelector('{PICTURES}').src === before"
SIZES = ((1280, 720), (1920, 1080))


def run_all(browser, lab, run_all_cells, notebook, shown):
    """Open a notebook, run every cell, wait until `shown` can be seen; keep what the console calls an error."""
    context = browser.new_context(viewport={"width": 1920, "height": 1080})
    page = context.new_page()
    page.set_default_timeout(PATIENT)
    page.errors = []
    page.on("pageerror", lambda error: page.errors.append(str(error)))
    page.on("console", lambda said: page.errors.append(said.text) if said.type == "error" else None)
    page.goto(lab.url(notebook))
    run_all_cells(page, page.locator(shown).first)
    page.get_by_text(IDLE).wait_for()
    return page


def keep(page, screenshots, name, at):
    """Take pictures at the sizes of a laptop and of a projector, with one part in sight."""
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        at.scroll_into_view_if_needed()
        page.screenshot(path=screenshots / f"{name}_{width}.png")


@pytest.fixture(scope="module")
def engineering(browser, lab, run_all_cells):
    page = run_all(browser, lab, run_all_cells, "engineering.ipynb", PICTURES)
    yield page
    page.context.close()


@pytest.fixture(scope="module")
def survey(browser, lab, run_all_cells):
    page = run_all(browser, lab, run_all_cells, "survey.ipynb", '.jp-Notebook button:has-text("Add to the sheet")')
    yield page
    page.context.close()


def test_the_engineering_notebook_runs_without_an_error_in_cells_or_console(engineering, screenshots):
    assert engineering.locator(WRONG).all_inner_texts() == []
    assert engineering.locator('.jp-Notebook [role="alert"]').count() == 0
    assert engineering.locator(PICTURES).count() == 3
    keep(engineering, screenshots, "engineering_bars", engineering.locator(PICTURES).first)
    assert engineering.errors == []


def test_the_weight_slider_moved_by_key_changes_the_picture_and_names_gates(engineering, screenshots):
    before = engineering.locator(PICTURES).first.get_attribute("src")
    handle = engineering.get_by_role("slider", name="Weight")
    handle.focus()
    handle.press("End")
    engineering.wait_for_function(CHANGED, arg=before)
    assert engineering.locator(".jp-Notebook [role=status]").get_by_text("these gates change").count() == 1
    keep(engineering, screenshots, "engineering_heavier", engineering.locator(PICTURES).nth(1))
    engineering.get_by_role("button", name="Reset weight").click()
    engineering.wait_for_function(SAME, arg=before)


def test_the_pictures_can_be_seen_and_have_a_text_alternative(engineering):
    for image in engineering.locator(PICTURES).all():
        assert image.evaluate("image => image.complete && image.naturalWidth > 0")
        assert len(image.get_attribute("alt")) > 40


def test_the_survey_notebook_runs_without_an_error_in_cells_or_console(survey, screenshots):
    assert survey.locator(WRONG).all_inner_texts() == []
    assert survey.locator('.jp-Notebook [role="alert"]').count() == 0
    keep(survey, screenshots, "survey_form", survey.get_by_role("button", name="Add to the sheet"))
    assert survey.errors == []


def test_a_sight_added_in_the_form_stands_in_the_sheet_and_can_be_taken_back(survey, screenshots):
    added = survey.get_by_text("To keep it, add to survey.csv:")
    survey.get_by_role("button", name="Add to the sheet").click()
    added.wait_for()
    keep(survey, screenshots, "survey_added", added)
    survey.get_by_role("button", name="Take back").click()
    added.wait_for(state="detached")

"""The decision notebook as a planner meets it: JupyterLab in a real browser."""

import pytest

pytestmark = pytest.mark.browser

PICTURE = '.jp-Notebook img[src^="data:image/svg+xml"]'
CHANGED = "before => document.querySelector('.jp-Notebook img[src^=\"data:image/svg+xml\"]').src !== before"
SAME = "before => document.querySelector('.jp-Notebook img[src^=\"data:image/svg+xml\"]').src === before"
PATIENT = 60_000


@pytest.fixture(scope="module")
def page(browser, lab, run_all_cells):
    """The notebook after Run All."""
    context = browser.new_context(viewport={"width": 1500, "height": 1400})
    page = context.new_page()
    page.set_default_timeout(PATIENT)
    page.goto(lab.url("decision.ipynb"))
    run_all_cells(page, page.locator(PICTURE))
    page.get_by_text("Python 3 (ipykernel) | Idle").wait_for()
    yield page
    context.close()


def picture(page):
    return page.locator(PICTURE).get_attribute("src")


def press(page, words):
    page.locator(".jp-Notebook .jupyter-button").filter(has_text=words).click()


def reset(page, first):
    press(page, "Reset")
    page.wait_for_function(SAME, arg=first)


@pytest.fixture(scope="module")
def first(page):
    """The picture of what the tables say."""
    return picture(page)


def test_every_cell_runs_without_an_error(page, first):
    wrong = '[data-mime-type="application/vnd.jupyter.error"], [data-mime-type="application/vnd.jupyter.stderr"]'
    assert page.locator(wrong).all_inner_texts() == []
    assert page.locator('.jp-Notebook [role="alert"]').count() == 0
    assert page.locator(".jp-Notebook [role=status]").first.inner_text().strip()


def test_the_picture_can_be_seen_and_has_a_text_alternative(page, first):
    image = page.locator(PICTURE).first
    box = image.bounding_box()
    assert box["width"] >= 700 and box["height"] >= 400
    assert image.evaluate("image => image.complete && image.naturalWidth > 0")
    assert "ath " in image.get_attribute("alt")


@pytest.mark.parametrize("name", ["Crane hours", "Haul distance", "Axle count"])
def test_a_slider_moved_by_key_changes_the_picture_and_reset_brings_it_back(page, first, screenshots, name):
    reset(page, first)
    handle = row(page, name).locator(".noUi-handle")
    handle.focus()
    handle.press("PageUp")
    page.wait_for_function(CHANGED, arg=first)
    said = row(page, name).get_by_text("set to")
    said.wait_for()
    assert ("longest leg" in said.inner_text()) == (name == "Haul distance"), said.inner_text()
    page.locator(".jp-Notebook [role=status]").first.scroll_into_view_if_needed()
    page.screenshot(path=screenshots / f"{name.replace(' ', '_').lower()}.png")
    reset(page, first)
    said.wait_for(state="detached")


def row(page, name):
    return page.locator(".widget-hbox").filter(has=page.get_by_role("spinbutton", name=name)).last


def test_showing_the_sliders_sets_none_of_them_and_each_stands_exactly_where_its_box_says(page, first):
    reset(page, first)
    assert page.get_by_text("set to").count() == 0
    shown = page.locator(".jp-Notebook .widget-hbox").filter(has=page.locator(".noUi-handle"))
    for line in shown.all():
        handle, box = line.locator(".noUi-handle"), line.locator("input")
        assert float(handle.get_attribute("aria-valuenow")) == float(box.input_value())
        assert handle.get_attribute("aria-label") == line.locator("label").first.inner_text()
    assert shown.count() >= 8


def test_a_slider_dragged_by_mouse_changes_the_picture(page, first):
    reset(page, first)
    track = row(page, "Crane hours").locator(".noUi-base")
    track.scroll_into_view_if_needed()
    box = track.bounding_box()
    page.mouse.click(box["x"] + box["width"] * 0.9, box["y"] + box["height"] / 2)
    page.wait_for_function(CHANGED, arg=first)
    reset(page, first)


def test_a_scenario_is_saved_and_loaded_again(page, first, lab):
    reset(page, first)
    box = page.get_by_role("spinbutton", name="Crane hours")
    box.fill("77")
    box.press("Enter")
    page.wait_for_function(CHANGED, arg=first)
    page.get_by_label("Name", exact=True).fill("Crane idle")
    page.get_by_label("Name", exact=True).press("Tab")
    press(page, "Save")
    page.get_by_text("Saved in").wait_for()
    changed = picture(page)
    reset(page, first)
    press(page, "Load")
    page.wait_for_function(SAME, arg=changed)
    page.wait_for_function("box => box.value === '77'", arg=box.element_handle())
    assert len(list((lab.folder / "notebooks" / "scenarios").glob("crane-idle-*.json"))) == 1
    reset(page, first)


def test_every_unit_gives_its_own_picture(page, first, screenshots):
    chooser = page.get_by_label("Unit", exact=True)
    seen = {first}
    for unit in chooser.locator("option").all_inner_texts()[1:]:
        before = picture(page)
        chooser.select_option(label=unit)
        page.wait_for_function(CHANGED, arg=before)
        seen.add(picture(page))
        page.screenshot(path=screenshots / f"unit_{len(seen)}.png")
    assert len(seen) == chooser.locator("option").count() == 6
    chooser.select_option(index=0)
    page.wait_for_function(SAME, arg=first)


def test_the_button_writes_the_page_and_says_where(page, first, lab):
    reset(page, first)
    press(page, "Write the page")
    page.get_by_text("Wrote ").wait_for()
    assert "foundry_switcher.html" in page.get_by_text("Wrote ").inner_text()
    written = lab.folder / "notebooks" / "foundry_switcher.html"
    assert written.read_text(encoding="utf-8").lstrip().lower().startswith("<!doctype html>")

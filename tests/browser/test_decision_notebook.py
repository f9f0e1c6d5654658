"""The decision notebook as a planner meets it: JupyterLab in a real browser."""

import re

import pytest

pytestmark = pytest.mark.browser

PICTURE = '.jp-Notebook img[src^="data:image/svg+xml"]'
CHANGED = "before => document.querySelector('.jp-Notebook img[src^=\"data:image/svg+xml\"]').src !== before"
SAME = "before => document.querySelector('.jp-Notebook img[src^=\"data:image/svg+xml\"]').src === before"
PATIENT = 30_000


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
    if page.locator(".jp-Notebook .jupyter-button").filter(has_text="Reset").is_enabled():
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
    assert box["width"] >= 700 and box["height"] >= 300
    assert image.evaluate("image => image.complete && image.naturalWidth > 0")
    assert "ath " in image.get_attribute("alt")


#: A slider, and a path whose money grows with it.
SLIDERS = {"Crane hours": 8, "Haul distance": 8, "Axle count": 4}
MONEY = """number => [...document.querySelectorAll('.jp-Notebook table[aria-label^="Paths of"] tbody tr')]
  .filter(row => row.querySelector('b').innerText === String(number)).map(row => row.children[1].innerText)[0]"""


@pytest.mark.parametrize("name", SLIDERS)
def test_a_slider_moved_by_key_through_its_range_moves_chart_line_and_table_the_right_way_and_is_brought_back(
    page, first, screenshots, name
):
    reset(page, first)
    handle, number = row(page, name).locator(".noUi-handle"), SLIDERS[name]
    handle.focus()
    seen = []
    for key in ("Home", "PageUp", "End"):
        before = picture(page)
        handle.press(key)
        page.wait_for_function(CHANGED, arg=before)
        at = float(handle.get_attribute("aria-valuenow"))
        row(page, name).get_by_text(f"set to {at:,.6g} ").wait_for()
        at_rest(page)
        seen.append((at, drawn(page, number), amount(page, number)))
    assert [at for at, *_ in seen] == sorted({at for at, *_ in seen}), seen
    for which in (1, 2):
        money = [values[which] for values in seen]
        assert money == sorted(money) and money[-1] > money[0], (name, seen)
    assert ("longest leg" in row(page, name).inner_text()) == (name == "Haul distance")
    told = moved_in_words(page, number)
    assert "▲" in told, told
    page.screenshot(path=screenshots / f"{name.replace(' ', '_').lower()}.png")
    row(page, name).locator("button").click()
    page.wait_for_function(SAME, arg=first)
    page.wait_for_function("said => !said.innerText.includes('set to')", arg=row(page, name).element_handle())


def at_rest(page):
    """Wait until nothing computes and the picture has stood for a second: what moves is answered first, then searched."""
    shown = None
    while shown != (shown := picture(page)) or page.get_by_text("Computing").count():
        page.wait_for_timeout(1000)


def moved_in_words(page, number):
    """What the last move changed of a path, in the table."""
    return page.evaluate(MONEY.replace("children[1]", "children[4]"), number)


def drawn(page, number):
    """The money of a path in the text of the chart [thousand]."""
    alt = page.locator(PICTURE).get_attribute("alt")
    return int(re.search(rf"Path {number}, [^:]*: [^,]*, set aside ([\d,]+),000", alt)[1].replace(",", ""))


TYPED = {
    ("Crane hours", "77.7"): "77.7",
    ("Crane hours", "12 1/2 h"): "12.5",
    ("Crane hours", "12,5"): "12.5",
    ("Crane hours", "1,234"): "1,234",
    ("Haul distance", "125 km"): "77.6714",
}


def test_what_is_typed_is_echoed_as_it_was_read_and_the_slider_does_not_round_it(page, first):
    reset(page, first)
    for (name, typed), echoed in TYPED.items():
        box = page.get_by_role("textbox", name=name)
        box.fill(typed)
        box.press("Enter")
        page.wait_for_function("([box, echoed]) => box.value === echoed", arg=[box.element_handle(), echoed])
        page.get_by_text(f"set to {echoed} ").wait_for()
    page.wait_for_timeout(700)
    assert page.get_by_role("textbox", name="Haul distance").input_value() == "77.6714"
    reset(page, first)


FOCUSED = """() => { const e = document.activeElement, label = e.labels && e.labels[0];
  return e.getAttribute('aria-label') || (label && label.textContent) || e.textContent.trim(); }"""


def test_the_keyboard_goes_in_the_order_of_reading_and_opens_what_unfolds(page, first):
    reset(page, first)
    page.get_by_label("Unit", exact=True).focus()
    reached = []
    while len(reached) < 40 and reached[-1:] != ["The decision in full"]:
        page.keyboard.press("Tab")
        reached.append(page.evaluate(FOCUSED))
    units = {"Crane hours": "h", "Haul distance": "mile", "Axle count": "axle", "Weight": "lb", "Deadline later": "day"}
    sliders = [f"{name} [{unit}]" for name, unit in units.items() for _ in ("handle", "box")]
    assert [text for text in reached if text.endswith("]")] == sliders
    assert reached.index("More to set") < next(n for n, text in enumerate(reached) if text.startswith("Paths of"))
    opened = page.locator(".jupyter-widget-Collapse-header").filter(has_text="The decision in full")
    for told in ("true", "false"):
        page.keyboard.press("Enter")
        page.wait_for_function("([part, told]) => part.getAttribute('aria-expanded') === told",
                               arg=[opened.element_handle(), told])  # fmt: skip
    assert page.locator(".hm-live .widget-html-content").get_attribute("aria-live") == "polite"


def amount(page, number):
    """The money of a path in the table [thousand]."""
    return int(page.evaluate(MONEY, number).replace(",", ""))


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080)])
def test_after_run_all_inputs_chart_decision_and_table_share_one_screen(browser, lab, run_all_cells, screenshots, size):
    context = browser.new_context(viewport=dict(zip(("width", "height"), size, strict=True)))
    page = context.new_page()
    page.set_default_timeout(PATIENT)
    page.goto(lab.url("decision.ipynb"))
    run_all_cells(page, page.locator(PICTURE))
    page.wait_for_timeout(500)
    page.screenshot(path=screenshots / f"desk_{size[0]}.png")
    panel = page.locator(".jp-Notebook").bounding_box()
    bottom = min(panel["y"] + panel["height"], size[1])
    shown = [page.locator(PICTURE).first, page.locator(".jp-Notebook [role=status]").first,
             *(row(page, name) for name in (*SLIDERS, "Weight", "Deadline later")),
             *page.locator("table[aria-label^='Paths of'] tr").all()[:3]]  # fmt: skip
    for part in shown:
        box = part.bounding_box()
        assert box["y"] >= panel["y"] - 1 and box["y"] + box["height"] <= bottom + 1, part
        assert box["x"] + box["width"] <= panel["x"] + panel["width"] + 1, part
    context.close()


def row(page, name):
    return page.locator(".hm-control").filter(has=page.get_by_role("textbox", name=name)).last


def test_showing_the_sliders_sets_none_of_them_and_each_stands_exactly_where_its_box_says(page, first):
    reset(page, first)
    assert page.get_by_text("set to").count() == 0
    shown = page.locator(".jp-Notebook .hm-control")
    for line in shown.all():
        handle, box = line.locator(".noUi-handle"), line.locator("input[type=text]")
        assert float(handle.get_attribute("aria-valuenow")) == float(box.input_value().replace(",", ""))
        assert handle.get_attribute("aria-label") == line.locator(".widget-text label").inner_text()
    assert shown.count() == 8


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
    box = page.get_by_role("textbox", name="Crane hours")
    box.fill("77")
    box.press("Enter")
    page.wait_for_function(CHANGED, arg=first)
    page.get_by_text("Save these inputs, load and compare").click()
    page.get_by_label("Name", exact=True).fill("Crane idle")
    page.get_by_label("Name", exact=True).press("Tab")
    page.get_by_title("Save what is set now under this name").click()
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

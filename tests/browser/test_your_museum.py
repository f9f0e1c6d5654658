"""One's own museum as a planner begins it: a page of description entered with the form alone, in a real browser."""

import re

import pytest
from first_days import DIESEL

from heritagemove.museum.museum import load_museum

pytestmark = [pytest.mark.browser, pytest.mark.long]
#: The sections of the form, by what the keys of their questions begin with.
SECTIONS = {"situation": "The situation", "decision": "The decision", "unit": "The unit", "fact": "What gates ask",
            "leg": "The way", "place": "Both ends"}  # fmt: skip


def entered(page, key, text):
    """Answer one question as a planner would, in its section."""
    field = page.locator(f".hm-{key.replace('.', '-')}").locator("input, select")
    if not field.is_visible():
        page.get_by_text(re.compile("^" + SECTIONS[key.partition(".")[0]])).first.click()
    if field.evaluate("element => element.tagName") == "SELECT":
        options = [re.sub(r"\s", "_", words) for words in field.locator("option").all_text_contents()]
        field.select_option(index=options.index(text.replace(" ", "_")))
    else:
        field.fill(text)
        field.press("Enter")


def test_a_diesel_140_miles_off_is_entered_up_to_a_decision_and_a_page(browser, lab, screenshots, run_all_cells):
    page = browser.new_context(viewport={"width": 1280, "height": 720}).new_page()
    page.set_default_timeout(120_000)
    page.goto(lab.url("your_museum.ipynb"))
    run_all_cells(page, page.get_by_text("0 answers so far."))
    assert not (lab.folder / "my_museum").exists()
    wanted = dict(DIESEL) | {"situation.stands": "on track that no railroad reaches any more"}
    for number, (key, text) in enumerate(wanted.items(), start=1):
        entered(page, key, text)
        page.get_by_text(f"{number} answer{'s' if number > 1 else ''} so far.").wait_for()
        if key.endswith(".weight"):
            assert "92 short tons = 184,000 lb" in page.content() and "is now impossible" in page.content()
            page.screenshot(path=screenshots / "your_museum_answered.png")
    assert len(wanted) <= 60
    page.get_by_text("provisionally").first.wait_for()
    page.screenshot(path=screenshots / "your_museum.png")
    page.get_by_role("button", name="Write the tables").click()
    page.get_by_text("Written into").wait_for()
    page.get_by_role("button", name="Write the page").click()
    page.get_by_text("our_unit_page.html").wait_for()
    page.context.close()
    mine = load_museum(lab.folder / "my_museum")
    assert mine.vehicles[0].weight.m_as("lb") == pytest.approx(184_000)
    assert "provisional" in (lab.folder / "my_museum" / "our_unit_page.html").read_text(encoding="utf-8")

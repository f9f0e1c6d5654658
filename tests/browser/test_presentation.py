"""The committee's pages as `make present` serves them: walked from first to last with the network blocked."""

import os
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

pytest.importorskip("voila")
pytestmark = pytest.mark.browser

TOP = Path(__file__).resolve().parents[2]
#: Text that can be seen in the presentation and is smaller than so many pixels.
SMALL = """least => [...document.querySelectorAll('.hm-present *')].filter(e => e.offsetParent !== null
  && [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim())
  && parseFloat(getComputedStyle(e).fontSize) < least).map(e => e.outerHTML.slice(0, 80))"""


#: A projector's and a large screen's size, and the smallest type from which the back of the room can read it.
SIZES = ((1920, 1080, 27), (1280, 720, 18))


@pytest.fixture(scope="module")
def address(chromium, tmp_path_factory):
    """Serve the committee notebook on loopback with the package's own template."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    log = tmp_path_factory.mktemp("voila") / "log.txt"
    places = {"JUPYTER_PATH": str(TOP / "heritagemove" / "panels" / "jupyter"), "JUPYTER_CONFIG_DIR": str(log.parent)}
    options = ["--template=heritagemove", "--no-browser", "--Voila.ip=127.0.0.1", f"--port={port}"]
    command = [sys.executable, "-m", "voila", "notebooks/committee.ipynb", *options]
    with open(log, "w") as out:
        server = subprocess.Popen(command, cwd=TOP, env=os.environ | places, stdout=out, stderr=out)
        try:
            end = time.monotonic() + 60
            while time.monotonic() < end and server.poll() is None:
                try:
                    socket.create_connection(("127.0.0.1", port), 2).close()
                    break
                except OSError:
                    time.sleep(0.2)
            yield f"http://127.0.0.1:{port}/"
        finally:
            server.terminate()
            server.wait(30)


@pytest.fixture(scope="module")
def page(browser, address):
    """The first page; whatever asks for another host is swallowed and remembered."""
    context = browser.new_context(viewport={"width": 1280, "height": 720})
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.outside, page.errors = [], []
    ours = (address, "data:", "blob:")
    page.route(lambda url: not url.startswith(ours), lambda route: page.outside.append(route.request.url))
    page.on("console", lambda message: page.errors.append(message.text) if message.type == "error" else None)
    page.goto(address)
    page.locator(".hm-present h1").wait_for()
    yield page
    context.close()


def serious(page):
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [(v["id"], v["nodes"][0]["html"]) for v in found if v["impact"] in ("serious", "critical")]


def test_it_is_walked_from_the_first_page_to_the_last(page, screenshots):
    seen = []
    while True:
        number = len(seen) + 1
        page.get_by_text(f"Screen {number} of").wait_for()
        seen.append(page.locator(".hm-present h1").inner_text())
        page.wait_for_function("() => [...document.images].every(image => image.complete)")
        assert page.locator(".hm-present [role=alert]").count() == 0, seen[-1]
        assert page.locator(".jp-CodeMirrorEditor, .highlight").count() == 0
        for width, height, least in SIZES:
            page.set_viewport_size({"width": width, "height": height})
            assert page.evaluate(SMALL, least) == [], (seen[-1], width)
            size = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.scrollHeight]")
            assert size[0] <= width and size[1] <= height + 1, (seen[-1], size)
            page.screenshot(path=screenshots / f"presentation_{number:02}_{width}.png")
        assert serious(page) == [], seen[-1]
        forward = page.get_by_role("button", name="Next")
        if forward.is_disabled():
            break
        forward.click()
    assert seen[0] == "What we are asked to resolve" and len(set(seen)) == len(seen) == 16
    assert page.outside == [] and page.errors == []


def test_the_page_keys_of_a_remote_control_turn_the_pages(page):
    last = page.locator(".hm-present h1").inner_text()
    page.locator("body").press("PageUp")
    page.wait_for_function("last => document.querySelector('.hm-present h1').innerText !== last", arg=last)
    page.locator("body").press("PageDown")
    page.wait_for_function("last => document.querySelector('.hm-present h1').innerText === last", arg=last)


def test_a_slider_has_a_name_and_answers_to_the_keyboard(page):
    while "crane" not in page.locator(".hm-present h1").inner_text():
        before = page.locator(".hm-present h1").inner_text()
        page.get_by_role("button", name="Back").click()
        page.wait_for_function("last => document.querySelector('.hm-present h1').innerText !== last", arg=before)
    handle = page.get_by_role("slider", name="Crane stands idle")
    handle.focus()
    before = page.locator(".hm-present table").inner_text()
    handle.press("ArrowRight")
    page.wait_for_function("was => document.querySelector('.hm-present table').innerText !== was", arg=before)

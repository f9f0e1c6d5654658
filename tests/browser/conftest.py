"""A real Chromium, and a JupyterLab of its own on a copy of the notebooks and the data."""

import json
import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
import uuid
from dataclasses import dataclass
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[2]
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
TOKEN = "browser-test"
#: No news popup, no question, and every cell in the page whether in sight or not.
SETTINGS = {
    "@jupyterlab/apputils-extension:notification": {"fetchNews": "false", "checkForUpdates": False},
    "@jupyterlab/notebook-extension:tracker": {"windowingMode": "none"},
}


@pytest.fixture(scope="session")
def chromium():
    """Return the path of a Chromium; without one skip, or fail where the environment requires it."""
    names = ("chromium", "chromium-browser", "google-chrome")
    found = next(filter(None, map(shutil.which, names)), None)
    if found is None:
        missing = f"no Chromium: none of {', '.join(names)} is on the PATH"
        if os.environ.get("HERITAGEMOVE_BROWSER") == "required":
            pytest.fail(missing)
        pytest.skip(missing)
    return found


@pytest.fixture(scope="session")
def browser(chromium):
    """Return a headless browser with a new profile."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def screenshots():
    """Return the folder in which what was seen is kept; git ignores it."""
    folder = Path(__file__).parent / "screenshots"
    folder.mkdir(exist_ok=True)
    return folder


@dataclass(frozen=True)
class Lab:
    """A running JupyterLab: the folder it shows, and its address."""

    folder: Path
    address: str

    def url(self, notebook: str) -> str:
        # Each test begins with the demo, whatever unit another one chose.
        (self.folder / "notebooks" / "desk.json").unlink(missing_ok=True)
        # A workspace of its own: the default one opens again what another test left open, and hidden tabs come first.
        workspace = notebook.removesuffix(".ipynb") + "-" + uuid.uuid4().hex[:8]
        return f"{self.address}/lab/workspaces/{workspace}/tree/notebooks/{notebook}?token={TOKEN}"

    def end_kernels(self, notebooks: tuple[str, ...]) -> None:
        """End the kernels of notebooks that no page shows any more: each holds its draws in memory."""
        sessions = f"{self.address}/api/sessions"
        with urllib.request.urlopen(f"{sessions}?token={TOKEN}", timeout=30) as found:
            running = [entry["id"] for entry in json.load(found) if Path(entry["path"]).stem in notebooks]
        for number in running:
            request = urllib.request.Request(f"{sessions}/{number}?token={TOKEN}", method="DELETE")
            urllib.request.urlopen(request, timeout=30).close()


@pytest.fixture(scope="session")
def lab(chromium, tmp_path_factory):
    """Start JupyterLab on a copy, so that nothing it saves or writes lands in the repository."""
    folder, home = tmp_path_factory.mktemp("museum"), tmp_path_factory.mktemp("jupyter")
    for name in ("notebooks", "data"):
        shutil.copytree(TOP / name, folder / name, ignore=shutil.ignore_patterns(".ipynb_checkpoints"))
    overrides = home / "config" / "labconfig" / "default_setting_overrides.json"
    overrides.parent.mkdir(parents=True)
    overrides.write_text(json.dumps(SETTINGS))
    variables = ("CONFIG_DIR", "DATA_DIR", "RUNTIME_DIR")
    places = {f"JUPYTER_{name}": str(home / name.split("_")[0].lower()) for name in variables}
    places |= {f"JUPYTERLAB_{name}_DIR": str(home / name.lower()) for name in ("SETTINGS", "WORKSPACES")}
    path = os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])
    port = free_port()
    command = [sys.executable, "-m", "jupyterlab", "--no-browser", "--ip=127.0.0.1", f"--port={port}"]
    command += ["--ServerApp.port_retries=0", f"--ServerApp.root_dir={folder}", f"--IdentityProvider.token={TOKEN}"]
    command += ["--allow-root"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    with open(home / "log.txt", "w+") as log:
        server = subprocess.Popen(command, cwd=folder, stdout=log, stderr=log, env=os.environ | places | {"PATH": path})
        try:
            address = f"http://127.0.0.1:{port}"
            wait_for(address, server, home / "log.txt")
            yield Lab(folder, address)
        finally:
            server.terminate()
            server.wait(30)


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_for(address, server, log, seconds=120):
    """Wait until the server answers."""
    end = time.monotonic() + seconds
    while time.monotonic() < end and server.poll() is None:
        try:
            urllib.request.urlopen(f"{address}/api/status?token={TOKEN}", timeout=5).close()
            return
        except OSError:
            time.sleep(0.3)
    pytest.fail(f"JupyterLab did not start:\n{log.read_text()[-3000:]}")


PROMPTS = ".jp-Notebook .jp-CodeCell .jp-InputPrompt"
#: Whether every cell of code has run to its end: its prompt is a number, no longer a star.
RAN = f"""() => {{ const prompts = [...document.querySelectorAll('{PROMPTS}')];
  return prompts.length > 0 && prompts.every(prompt => /\\d/.test(prompt.textContent)); }}"""
WRONG = '[data-mime-type="application/vnd.jupyter.error"], [data-mime-type="application/vnd.jupyter.stderr"]'


@pytest.fixture(scope="session")
def run_all_cells():
    """Return what runs every cell of the notebook on a page and waits until all have run, and something can be seen."""
    from playwright.sync_api import TimeoutError

    def run(page, shown=None):
        # Run All is lost when the kernel is not ready; the status bar tells that it is, on a busy machine too soon.
        page.get_by_text("Python 3 (ipykernel) | Idle").wait_for()
        for attempt in range(6):
            page.get_by_role("menuitem", name="Run", exact=True).click()
            page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
            try:
                page.locator(PROMPTS).filter(has_text=re.compile(r"\*|\d")).first.wait_for(timeout=5_000)
                break
            except TimeoutError:
                assert attempt < 5, "no cell began after six times Run All Cells"
        page.wait_for_function(RAN, timeout=120_000)
        if shown is not None:
            shown.wait_for()

    return run


@pytest.fixture
def notebook(browser, lab, run_all_cells):
    """Return what opens a notebook, runs it and gives its page, with what the console called an error in `errors`."""
    opened, names = [], []

    def open_and_run(name, width=1280, height=720):
        page = browser.new_context(viewport={"width": width, "height": height}).new_page()
        opened.append(page)
        names.append(name)
        page.set_default_timeout(60_000)
        page.errors = []
        page.on("pageerror", lambda error: page.errors.append(str(error)))
        page.on("console", lambda said: page.errors.append(said.text) if said.type == "error" else None)
        page.goto(lab.url(f"{name}.ipynb"))
        run_all_cells(page)
        return page

    yield open_and_run
    for page in opened:
        page.context.close()
    lab.end_kernels(tuple(names))

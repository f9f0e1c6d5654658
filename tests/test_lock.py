"""The lock file: every file by its hash, for every platform, and nothing of the machine it was made on."""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
LOCK = (ROOT / "requirements.lock").read_text(encoding="utf-8")
_HASHES = r"((?:    --hash=sha256:[0-9a-f]{64} ?\\?\n)*)"
ENTRIES = re.findall(r"^([a-z0-9-]+)==(\S+)(?: ; ([^\\\n]+))? ?\\?\n" + _HASHES, LOCK, re.M)


def test_every_package_is_pinned_and_has_hashes():
    lines = [line for line in LOCK.splitlines() if line and not line.startswith(("    --hash=sha256:", "#"))]
    assert len(lines) == len(ENTRIES) > 100
    assert all(hashes for *_, hashes in ENTRIES)


def test_it_names_no_registry_and_no_path():
    words = ("://", "index", "find-links", "file:", "/work", "/home", "/opt", "-e ", "@ ")
    names = {name for name, *_ in ENTRIES}
    assert not [word for word in words if word in re.sub("|".join(sorted(names, key=len, reverse=True)), "", LOCK)]


def test_it_holds_everything_that_the_project_asks_for():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    names = {re.match(r"[\w-]+", entry)[0].lower() for entry in asked} - {"heritagemove"}
    assert names | {"hatchling"} <= {name for name, *_ in ENTRIES}


def test_it_is_for_windows_macos_and_linux_alike():
    markers = {name: marker for name, _, marker, _ in ENTRIES}
    assert "win32" in markers["pywinpty"] or "nt" in markers["pywinpty"]
    assert "darwin" in markers["appnope"].lower()

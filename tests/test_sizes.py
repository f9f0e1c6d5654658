"""A module that outgrows 400 lines has two subjects."""

from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1] / "heritagemove"


def test_no_module_is_longer_than_400_lines():
    long = {file.name: n for file in PACKAGE.rglob("*.py") if (n := len(file.read_text().splitlines())) > 400}
    assert long == {}

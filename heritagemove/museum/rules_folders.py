"""Folders of rules: a country's tables of limits and what is typical, and a state's rows over those of its country."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

PACKAGE = Path(__file__).resolve().parents[1]
#: The country whose rules hold where nothing else is said.
USA = "usa"


def shipped(name: str) -> Path:
    """Return a folder of tables that comes with this package: inside it when installed, beside it in a clone."""
    inside = PACKAGE / "data" / name
    return inside if inside.is_dir() else PACKAGE.parent / "data" / name


def rules_folders() -> Mapping[str, Path]:
    """Return the folders of rules by name: USA, the states of data/rules, and the invented country of the second demo."""
    states = shipped("rules")
    own = {each.name: each for each in sorted(states.iterdir()) if each.is_dir()} if states.is_dir() else {}
    return {USA: shipped("reference"), **own, "melderbach": shipped("elsewhere/reference")}


def is_country(folder: Path) -> bool:
    """Return whether a folder holds the rules of a country whole; a state's rows stand over those of its country."""
    return (folder / "cautions.csv").is_file()


def over(country: tuple[Any, ...], state: tuple[Any, ...], key: tuple[str, ...]) -> tuple[Any, ...]:
    """Return a country's rows with those of a state in place of the rows of the same key, and its others behind."""
    own = {tuple(getattr(row, name) for name in key): row for row in state}
    kept = [own.pop(tuple(getattr(row, name) for name in key), row) for row in country]
    return (*kept, *own.values())

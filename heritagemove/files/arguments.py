"""The parser of a command line: what is said twice is refused."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import Any


class OnceParser(argparse.ArgumentParser):
    """A parser that refuses an option given twice: the last would win, and nobody would see it."""

    def __init__(self, *arguments: Any, **more: Any) -> None:
        super().__init__(*arguments, **more)
        self.register("action", None, _Once)


class _Once(argparse.Action):
    def __call__(self, parser: Any, namespace: Any, values: Any, option_string: str | None = None) -> None:
        given = namespace.__dict__.setdefault("given", set())
        if option_string and self.dest in given:
            parser.error(f"{self.option_strings[0]}: found twice; allowed: once")
        given.add(self.dest)
        setattr(namespace, self.dest, values)


def settings_of(texts: Sequence[str]) -> dict[str, str]:
    """Return settings given as NAME=AMOUNT, by name; each once."""
    settings: dict[str, str] = {}
    for text in texts:
        name, equals, amount = (part.strip() for part in text.partition("="))
        if not equals or not amount:
            raise ValueError(f'--set: found "{text}"; allowed: NAME=AMOUNT, such as crane_hours=20')
        if name in settings:
            raise ValueError(f'--set: found {name} twice, "{settings[name]}" and "{amount}"; allowed: each name once')
        settings[name] = amount
    return settings

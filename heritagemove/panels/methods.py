"""The methods, live: each formula with its source, and its worked example run at this moment."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from pathlib import Path
from types import ModuleType
from typing import Any

from heritagemove.panels import markup
from heritagemove.panels.state import Desk
from heritagemove.units.described import Heading
from heritagemove.units.terms import table_of_terms

_PACKAGE = Path(__file__).resolve().parents[1]
#: Rooms without formulas.
_LEFT_OUT = ("panels", "charts", "hand_over", "__main__")


@dataclass(frozen=True)
class Method:
    """One formula or law."""

    # module and function
    subject: str
    name: str
    says: str  # what it returns, with the equation
    source: str  # where it comes from
    example: str  # its worked example, as it is written; blank where it has none
    # lines of the example that were run now, and how many gave something else than is written
    tried: int
    failed: int


def methods() -> tuple[Method, ...]:
    """Return every function of the package that names its source, its example run now."""
    return tuple(_method(module, name, function) for module, name, function in _functions())


def show_methods(desk: Desk) -> str:
    """Show each formula by subject: what it says, its source, and whether its worked example holds."""
    found = methods()
    tried = [method for method in found if method.tried]
    wrong = [method for method in tried if method.failed]
    said = f"{len(found)} formulas and laws name their source; {len(tried)} have a worked example, run just now: " + (
        f"{len(wrong)} do not hold: {', '.join(method.name for method in wrong)}." if wrong else "all hold."
    )
    by_subject: dict[str, list[Method]] = {}
    for method in found:
        by_subject.setdefault(method.subject, []).append(method)
    parts = [markup.unfold(f"{subject}: {len(rows)}", _table(subject, rows)) for subject, rows in sorted(by_subject.items())]
    words = markup.unfold("The words explained", markup.table_of(table_of_terms()))
    return f'<p style="font-weight:600">{escape(said)}</p>{words}{"".join(parts)}'


def _table(subject: str, found: list[Method]) -> str:
    rows = [(method.name.replace("_", " "), method.says, method.source, _checked(method)) for method in found]
    headings = ("Method", "What it says", "Source", Heading("Worked example", kind="unfold"))
    return markup.table(subject, headings, rows, (16, 30, 30, 24))


def _checked(method: Method) -> tuple[str, ...] | str:
    if not method.tried:
        return "none"
    sign = "✕ does not hold" if method.failed else "✓ holds"
    return (sign, *method.example.splitlines())


def _functions() -> Iterator[tuple[ModuleType, str, Any]]:
    """Yield module, name and function where the docstring has a section of references."""
    for entry in pkgutil.walk_packages([str(_PACKAGE)], "heritagemove."):
        if entry.name.split(".")[1] in _LEFT_OUT:
            continue
        module = importlib.import_module(entry.name)
        for name, function in sorted(vars(module).items()):
            own = inspect.isfunction(function) and function.__module__ == module.__name__
            if own and not name.startswith("_") and "References\n" in (function.__doc__ or ""):
                yield module, name, function


def _method(module: ModuleType, name: str, function: Any) -> Method:
    text = inspect.getdoc(function)
    example = _section(text, "Examples")
    runner = doctest.DocTestRunner(verbose=False)
    test = doctest.DocTestParser().get_doctest(example, dict(vars(module)), name, None, 0)
    result = runner.run(test, out=lambda _: None)
    subject = module.__name__.rpartition(".")[2].replace("_", " ")
    says, source = text.split("\n\n")[0], _section(text, "References")
    return Method(subject, name, says, source, example, result.attempted, result.failed)


def _section(text: str, title: str) -> str:
    """Return one section of a docstring, blank where there is none."""
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[^\n]*\n-+\n|\Z)", text, re.MULTILINE | re.DOTALL)
    return found.group(1).strip() if found else ""

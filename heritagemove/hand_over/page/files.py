"""The page, its machine-readable twin and its print, as files: whole or not at all."""

from __future__ import annotations

import contextlib
import datetime as dt
import json
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from heritagemove.compare.results import Comparison
from heritagemove.files import saving
from heritagemove.files.names import reserved
from heritagemove.files.outputs import refuse_places
from heritagemove.hand_over.page.content import content
from heritagemove.hand_over.page.following import forecasts_of
from heritagemove.hand_over.page.html import site_page, templates_of_pages, unit_page
from heritagemove.hand_over.page.site import Site
from heritagemove.museum.museum import input_files
from heritagemove.units.units import PlannerError

_BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "msedge")
# A print reads one local file and nothing else: no profile, no sign-in, no updates.
_FLAGS = (
    "--headless", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-pdf-header-footer", "--generate-pdf-document-outline",
)  # fmt: skip


def write_report(
    comparison: Comparison,
    path: str | Path,
    replace: bool = False,
    progress: Callable[[str], None] | None = None,
    scenarios: Mapping[str, Comparison] | None = None,
    full: bool = False,
) -> Path:
    """Write the page of one unit to a file, whole or not at all.

    Parameters
    ----------
    path : path
        File to write; its folder must exist.
    replace : bool
        Whether a file that exists may be replaced.
    progress : callable, optional
        Told what is being drawn.
    scenarios : mapping of str to Comparison, optional
        Saved scenarios by name, each set beside the answer for the same unit.
    full : bool
        Whether the annex is the full one: every limit, input, criterion and path.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    ValueError
        If the file exists and is not to be replaced, or its folder does not exist.

    Examples
    --------
    >>> import heritagemove as hm
    >>> from tempfile import TemporaryDirectory
    >>> answer = hm.decide(hm.load("data/tamber_river"), "caboose", trials=300)
    >>> with TemporaryDirectory() as folder:
    ...     hm.write_page(answer, f"{folder}/page.html").name
    'page.html'
    """
    return write_files([comparison], {"out": path}, replace, progress, scenarios, full=full)[0]


def write_files(
    comparisons: Sequence[Comparison],
    places: Mapping[str, str | Path],
    replace: bool = False,
    progress: Callable[[str], None] | None = None,
    scenarios: Mapping[str, Comparison] | None = None,
    site: Site | None = None,
    full: bool = False,
) -> list[Path]:
    """Write the page, its twin and its print: all that are asked for, or none. Otherwise as :func:`write_report`.

    Parameters
    ----------
    comparisons : sequence of Comparison
        One per unit, all of one museum. Of several the pages fill a folder: one of the site, which leads to one a unit.
    places : mapping of str to path
        File or folder to write for ``out`` (the page or pages), file for ``json`` (its twin) and ``pdf`` (its print, or
        that of the site's page); the last two may be left out.
    site : Site, optional
        The units together.
    """
    vehicles = [comparison.vehicle for comparison in comparisons]
    refuse_outputs(comparisons[0].base.folder, places, replace, vehicles=vehicles)
    out, forecasts = Path(places["out"]), {comparison.vehicle: forecasts_of(comparison) for comparison in comparisons}
    said = content(comparisons, None, scenarios, site, forecasts, full)
    names = [out] if len(vehicles) == 1 else [out / name for name in names_of(vehicles).values()]
    pages: dict[Path, str | bytes] = {}
    templates = templates_of_pages()
    if len(vehicles) > 1:
        pages[out / _SITE] = site_page(said, names_of(vehicles), site, progress)
    for name, comparison, unit in zip(names, comparisons, said["units"], strict=True):
        pages[name] = unit_page(comparison, said, unit, forecasts[comparison.vehicle], progress, templates)
    first = next(iter(pages.values()))
    if "json" in places:
        pages[Path(places["json"])] = _twin(said)
    if "pdf" in places:
        pages[Path(places["pdf"])] = printed(first)
    with _folder(out if len(vehicles) > 1 else None):
        saving.save_all(pages)
    return list(pages)


#: The site's page in a folder of several.
_SITE = "index.html"


def names_of(vehicles: Iterable[str]) -> dict[str, str]:
    """Return the name of each unit's own file in a folder of several; none is that of the site, or one Windows refuses.

    Examples
    --------
    >>> names_of(["coach", "index"])
    {'coach': 'coach.html', 'index': 'index_page.html'}
    """
    taken = {name: name == "index" or reserved(name) for name in vehicles}
    return {name: f"{name}_page.html" if avoid else f"{name}.html" for name, avoid in taken.items()}


@contextlib.contextmanager
def _folder(folder: Path | None) -> Iterator[None]:
    """Have a folder to write to; one that was not there goes again if nothing could be written."""
    made = folder is not None and not folder.exists()
    if made:
        folder.mkdir()
    try:
        yield
    except BaseException:
        if made:
            folder.rmdir()
        raise


def refuse_outputs(
    museum: str, places: Mapping[str, str | Path], replace: bool, read: Iterable[Path] = (), vehicles: Sequence[str] = ()
) -> None:
    """Refuse, before any work, places that cannot be written or are read from, and a print without a browser.

    Parameters
    ----------
    museum : str
        Folder or workbook of the museum.
    read : iterable of Path
        What else is read: saved scenarios.
    vehicles : sequence of str
        Units; of several the pages go into a folder.
    """
    inputs, out = (*input_files(museum), *read), Path(places["out"])
    if len(vehicles) > 1:
        if out.exists() and not out.is_dir():
            raise PlannerError(f'out: found "{out}", which is a file; allowed: a folder, for a page of each unit')
        files = [out / name for name in (_SITE, *names_of(vehicles).values())] if out.is_dir() else [out]
        places = {f"out, {file.name}" if out.is_dir() else "out": file for file in files} | {
            name: place for name, place in places.items() if name != "out"
        }
    refuse_places(places, inputs, replace)
    if "pdf" in places:
        _browser()


def write_twin(
    comparisons: Sequence[Comparison],
    path: str | Path,
    replace: bool = False,
    made_on: dt.date | None = None,
    scenarios: Mapping[str, Comparison] | None = None,
    site: Site | None = None,
) -> Path:
    """Write every figure of the page or pages as JSON, in the form that data/OUTPUT.md documents.

    Parameters, Returns and Raises as for :func:`write_files`.
    """
    refuse_outputs(comparisons[0].base.folder, {"out": path}, replace)
    saving.save(path, _twin(content(comparisons, made_on, scenarios, site)))
    return Path(path)


def _twin(said: Mapping[str, Any]) -> str:
    return json.dumps(said, indent=1, ensure_ascii=False) + "\n"


def write_print(page: str | Path, path: str | Path, replace: bool = False, browser: str | None = None) -> Path:
    """Print a page to a tagged PDF with bookmarks, through a headless Chromium where one is found.

    Parameters
    ----------
    page : path
        HTML file written before.
    path : path
        PDF file to write.
    browser : str, optional
        Program to print with; by default the first one found.

    Raises
    ------
    ValueError
        If no such browser is found, or it does not print.
    """
    refuse_places({"out": path}, [Path(page)], replace)
    saving.save(path, printed(Path(page).read_text(encoding="utf-8"), browser))
    return Path(path)


def printed(page: str, browser: str | None = None) -> bytes:
    """Return a page as a tagged PDF; errors as for :func:`write_print`."""
    program = browser or _browser()
    with tempfile.TemporaryDirectory(prefix="heritagemove-") as folder:
        source, target = Path(folder) / "page.html", Path(folder) / "page.pdf"
        source.write_text(page, encoding="utf-8")
        command = [program, *_FLAGS, *_sandbox(), f"--user-data-dir={folder}/profile", f"--print-to-pdf={target}"]
        done = subprocess.run([*command, source.as_uri()], capture_output=True, text=True, timeout=120)
        if not target.is_file():
            raise PlannerError(f"pdf: found that {Path(program).name} printed nothing ({done.stderr.strip()[-200:]})")
        return target.read_bytes()


def _browser() -> str:
    program = next(filter(None, map(shutil.which, _BROWSERS)), None)
    if program is None:
        known = ", ".join(_BROWSERS)
        raise PlannerError(f"pdf: found no Chromium; allowed: one of {known}, or print the page from any browser")
    return program


def _sandbox() -> tuple[str, ...]:
    """Chromium refuses its sandbox to root, as in a container; everybody else keeps it."""
    return ("--no-sandbox",) if getattr(os, "geteuid", lambda: 1)() == 0 else ()

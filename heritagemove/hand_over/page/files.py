"""The page, its machine-readable twin and its print, as files: whole or not at all."""

from __future__ import annotations

import datetime as dt
import json
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from heritagemove.compare.results import Comparison
from heritagemove.files import saving
from heritagemove.files.outputs import refuse_places
from heritagemove.hand_over.page.content import content
from heritagemove.hand_over.page.following import forecasts_of
from heritagemove.hand_over.page.html import with_pictures
from heritagemove.hand_over.page.site import Site, site_of
from heritagemove.museum.museum import input_files
from heritagemove.units.units import PlannerError

_BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "msedge")
# A print reads one local file and nothing else: no profile, no sign-in, no updates.
_FLAGS = (
    "--headless", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-pdf-header-footer", "--generate-pdf-document-outline",
)  # fmt: skip


def write_report(
    comparisons: Comparison | Sequence[Comparison],
    path: str | Path,
    replace: bool = False,
    progress: Callable[[str], None] | None = None,
    scenarios: Mapping[str, Comparison] | None = None,
    site: Site | None = None,
) -> Path:
    """Write the page of one or more units to a file, whole or not at all.

    Parameters
    ----------
    comparisons : Comparison or sequence of Comparison
        One per unit, all of one museum.
    path : path
        File to write; its folder must exist.
    replace : bool
        Whether a file that exists may be replaced.
    progress : callable, optional
        Told what is being drawn.
    scenarios : mapping of str to Comparison, optional
        Saved scenarios by name, each set beside the answer for the same unit.
    site : Site, optional
        The units together; found here, in some ten seconds, when left out and the page is of the whole site.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    ValueError
        If the file exists and is not to be replaced, or its folder does not exist.
    """
    site = _several(comparisons, progress) if site is None else site
    return write_files(comparisons, {"out": path}, replace, progress, scenarios, site)[0]


def write_files(
    comparisons: Comparison | Sequence[Comparison],
    places: Mapping[str, str | Path],
    replace: bool = False,
    progress: Callable[[str], None] | None = None,
    scenarios: Mapping[str, Comparison] | None = None,
    site: Site | None = None,
) -> list[Path]:
    """Write the page, its twin and its print: all that are asked for, or none. Otherwise as :func:`write_report`.

    Parameters
    ----------
    places : mapping of str to path
        File to write for ``out`` (the page), ``json`` (its twin) and ``pdf`` (its print); the last two may be left out.
    """
    several = _several_of(comparisons)
    refuse_outputs(several[0].base.folder, places, replace)
    forecasts = {comparison.vehicle: forecasts_of(comparison) for comparison in several}
    said = content(several, None, scenarios, site, forecasts)
    page = with_pictures(several, said, forecasts, progress, site)
    contents: dict[Path, str | bytes] = {Path(places["out"]): page}
    if "json" in places:
        contents[Path(places["json"])] = _twin(said)
    if "pdf" in places:
        contents[Path(places["pdf"])] = printed(page)
    saving.save_all(contents)
    return list(contents)


def refuse_outputs(museum: str, places: Mapping[str, str | Path], replace: bool, read: Iterable[Path] = ()) -> None:
    """Refuse, before any work, places that cannot be written or are read from, and a print without a browser.

    Parameters
    ----------
    museum : str
        Folder or workbook of the museum.
    read : iterable of Path
        What else is read: saved scenarios.
    """
    refuse_places(places, (*input_files(museum), *read), replace)
    if "pdf" in places:
        _browser()


def write_twin(
    comparisons: Comparison | Sequence[Comparison],
    path: str | Path,
    replace: bool = False,
    made_on: dt.date | None = None,
    scenarios: Mapping[str, Comparison] | None = None,
    site: Site | None = None,
) -> Path:
    """Write every figure of the page as JSON, in the form that data/OUTPUT.md documents.

    Parameters, Returns and Raises as for :func:`write_report`.
    """
    several = _several_of(comparisons)
    refuse_outputs(several[0].base.folder, {"out": path}, replace)
    saving.save(path, _twin(content(several, made_on, scenarios, _several(several) if site is None else site)))
    return Path(path)


def _twin(said: Mapping[str, Any]) -> str:
    return json.dumps(said, indent=1, ensure_ascii=False) + "\n"


def _several_of(comparisons: Comparison | Sequence[Comparison]) -> tuple[Comparison, ...]:
    return (comparisons,) if isinstance(comparisons, Comparison) else tuple(comparisons)


def _several(comparisons: Comparison | Sequence[Comparison], progress: Callable[[str], None] | None = None) -> Site | None:
    return None if isinstance(comparisons, Comparison) else site_of(comparisons, progress)


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

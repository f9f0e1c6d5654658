"""The page, its machine-readable twin and its print, as files: whole or not at all."""

from __future__ import annotations

import datetime as dt
import json
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from heritagemove.compare.results import Comparison
from heritagemove.files import saving
from heritagemove.hand_over.page.content import content
from heritagemove.hand_over.page.html import render
from heritagemove.hand_over.page.site import Site, site_of
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
        One a unit, all of one museum.
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
    target = _target(path, replace)
    site = _several(comparisons, progress) if site is None else site
    saving.save(target, render(comparisons, progress=progress, scenarios=scenarios, site=site))
    return target


def write_twin(
    comparisons: Comparison | Sequence[Comparison],
    path: str | Path,
    replace: bool = False,
    made_on: dt.date | None = None,
    scenarios: Mapping[str, Comparison] | None = None,
    site: Site | None = None,
) -> Path:
    """Write every figure of the page as JSON, in the form that data/README.md documents.

    Parameters, Returns and Raises as for :func:`write_report`.
    """
    target = _target(path, replace)
    several = (comparisons,) if isinstance(comparisons, Comparison) else tuple(comparisons)
    site = _several(several) if site is None else site
    saving.save(target, json.dumps(content(several, made_on, scenarios, site), indent=1, ensure_ascii=False) + "\n")
    return target


def _several(
    comparisons: Comparison | Sequence[Comparison], progress: Callable[[str], None] | None = None
) -> Site | None:
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
    target = _target(path, replace)
    program = browser or next(filter(None, map(shutil.which, _BROWSERS)), None)
    if program is None:
        known = ", ".join(_BROWSERS)
        raise PlannerError(f"pdf: found no Chromium; allowed: one of {known}, or print the page from any browser")
    with tempfile.TemporaryDirectory(prefix="heritagemove-") as folder:
        printed = Path(folder) / "page.pdf"
        command = [program, *_FLAGS, *_sandbox(), f"--user-data-dir={folder}/profile", f"--print-to-pdf={printed}"]
        done = subprocess.run([*command, Path(page).resolve().as_uri()], capture_output=True, text=True, timeout=120)
        if not printed.is_file():
            raise PlannerError(f"pdf: found that {Path(program).name} printed nothing ({done.stderr.strip()[-200:]})")
        saving.save(target, printed.read_bytes())
    return target


def _sandbox() -> tuple[str, ...]:
    """Chromium refuses its sandbox to root, as in a container; everybody else keeps it."""
    return ("--no-sandbox",) if getattr(os, "geteuid", lambda: 1)() == 0 else ()


def _target(path: str | Path, replace: bool) -> Path:
    target = Path(path)
    if not target.parent.is_dir():
        raise PlannerError(f'out: found "{target}"; allowed: a file in a folder that exists')
    if target.is_dir() or (target.exists() and not replace):
        raise PlannerError(f'out: found "{target}", which exists; allowed: a new file, or replace it (--replace)')
    return target

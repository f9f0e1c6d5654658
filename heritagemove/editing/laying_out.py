"""The notebooks and demo museums laid out in a planner's folder, brought up to date without touching what she changed."""

from __future__ import annotations

import contextlib
import hashlib
import importlib.util
import json
import os
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from heritagemove.files.names import refuse_reserved
from heritagemove.files.saving import NotSaved, fingerprint, save
from heritagemove.museum.museum import shipped
from heritagemove.units.units import PlannerError

#: What was laid out when, by its fingerprint: what differs from it the planner has changed.
RECORD = ".heritagemove.laid_out.json"
_KEPT_ASIDE = "A file that you changed stays yours: rename it, and the next start lays out this version's."


@dataclass
class LaidOut:
    """What became of the files."""

    folder: Path
    written: list[str] = field(default_factory=list)  # new or brought up to date
    changed: list[str] = field(default_factory=list)  # changed by the planner, and left as they are
    refused: list[str] = field(default_factory=list)  # sentences: what could not be written, and why

    def lines(self) -> list[str]:
        """Return what is said of it: nothing where all was up to date."""
        said = [f"{len(self.written)} files laid out in {self.folder}."] if self.written else []
        if self.changed:
            said.append(f"Left as you changed them: {', '.join(self.changed)}. {_KEPT_ASIDE}")
        return said + self.refused


def lay_out(folder: str | Path) -> LaidOut:
    """Lay out the notebooks and demo museums of this version in a folder.

    What the planner has not changed since is brought up to date; what she changed, and what she put beside it, stays.
    A notebook that was only run counts as unchanged, and so does a table that a spreadsheet saved with other line ends.
    The tables of one museum belong together: one that was changed keeps all of them as they are.

    Parameters
    ----------
    folder : path
        Made where it is not there yet.

    Raises
    ------
    PlannerError
        If a file has the folder's name, or no system would take its name.
    NotSaved
        If the folder may not be written.
    """
    place = Path(folder).expanduser()
    refuse_reserved(place)
    if place.exists() and not place.is_dir():
        raise PlannerError(f'found "{place}", which is a file; allowed: a folder')
    done = LaidOut(place)
    sources = _sources()
    if (place / "notebooks").exists() and (place / "notebooks").samefile(sources["notebooks"]):
        return done  # a clone: what is to be laid out stands there already
    record = _recorded(place)
    for museum, names in _together(sources).items():
        theirs = {name: _print(name, sources[name.partition("/")[0]] / name.partition("/")[2]) for name in names}
        mine = {name: _print(name, place / name) for name in names}
        own = [name for name in names if mine[name] not in (None, theirs[name], record.get(name))]
        if own:
            done.changed.append(museum)
            continue
        for name in names:
            if mine[name] != theirs[name]:
                _bring(sources, name, place, done)
            if _print(name, place / name) == theirs[name]:
                record[name] = str(theirs[name])
    save(place / RECORD, json.dumps(record, indent=1, sort_keys=True))
    return done


def _sources() -> dict[str, Path]:
    """Return where this package keeps its notebooks and its data: beside each other, in a clone as when installed."""
    data = shipped("tamber_river").parent
    return {"notebooks": data.parent / "notebooks", "data": data}


def _together(sources: dict[str, Path]) -> dict[str, list[str]]:
    """Return the files by what they belong to: the tables of a museum by its folder, every other file by itself."""
    found: dict[str, list[str]] = {}
    for top, source in sources.items():
        for file in sorted(path for path in source.rglob("*") if _is_laid_out(path)):
            name = PurePosixPath(top, file.relative_to(source).as_posix())
            museum = (file.parent / "museum.toml").is_file()
            found.setdefault(str(name.parent if museum else name), []).append(str(name))
    return found


def _is_laid_out(path: Path) -> bool:
    kinds = (".ipynb", ".svg", ".png", ".jpg", ".csv", ".toml", ".md", ".txt")
    return path.is_file() and path.suffix in kinds and not any(part.startswith(".") for part in path.parts[-3:])


def _recorded(place: Path) -> dict[str, str]:
    """Return what was laid out; a record that cannot be read says nothing, and then every other file is the planner's."""
    with contextlib.suppress(OSError, ValueError):
        found = json.loads((place / RECORD).read_bytes())
        return {str(name): str(text) for name, text in found.items()} if isinstance(found, dict) else {}
    return {}


def _print(name: str, file: Path) -> str | None:
    """Return the fingerprint of what a file says: of a notebook its cells, of a text its lines however they end."""
    try:
        data = file.read_bytes()
    except FileNotFoundError:
        return None
    if name.endswith(".ipynb"):
        with contextlib.suppress(ValueError, KeyError, TypeError):
            cells = [(cell["cell_type"], "".join(cell["source"])) for cell in json.loads(data)["cells"]]
            data = json.dumps(cells).encode()
    elif not name.endswith((".png", ".jpg")):
        data = data.removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"\n")
    return hashlib.sha256(data).hexdigest()


def _bring(sources: dict[str, Path], name: str, place: Path, done: LaidOut) -> None:
    top, _, rest = name.partition("/")
    target = place / name
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        save(target, (sources[top] / rest).read_bytes(), expected=fingerprint(target))
    except NotSaved as error:
        done.refused.append(f"{error}. Close it there, then start again.")
    else:
        done.written.append(name)


def lab_command(folder: Path, port: int, browser: bool) -> list[str]:
    """Return what starts JupyterLab on the start page of a folder laid out; it listens on this machine alone."""
    start = "--LabApp.default_url=/lab/tree/notebooks/start_here.ipynb"
    served = [f"--port={port}", f"--ServerApp.root_dir={folder}", start, "-y"]
    return [sys.executable, "-m", "jupyterlab", *served, *_asked(browser)]


def present_command(folder: Path, port: int, browser: bool) -> list[str]:
    """Return what starts the committee's presentation of a folder laid out.

    Raises
    ------
    PlannerError
        If Voila, which serves it, is not installed.
    """
    if importlib.util.find_spec("voila") is None:
        raise PlannerError(
            f"The presentation needs Voila, which is not installed. Type: {Path(sys.executable).name} -m pip install voila"
        )
    served = ["--template=heritagemove", "--Voila.ip=127.0.0.1", "--MappingKernelManager.transport_encryption=auto"]
    page = str(folder / "notebooks" / "committee.ipynb")
    return [sys.executable, "-m", "voila", page, f"--port={port}", *served, *_asked(browser)]


def serve(command: list[str]) -> None:
    """Start a server and wait until it has ended; Ctrl-C reaches it too, and it ends by itself."""
    # The template of the presentation stands in this package, wherever that is installed.
    own = str(Path(__file__).resolve().parents[1] / "panels" / "jupyter")
    paths = os.pathsep.join(filter(None, (own, os.environ.get("JUPYTER_PATH"))))
    server = subprocess.Popen(command, env=os.environ | {"JUPYTER_PATH": paths})
    while True:
        try:
            server.wait()
        except KeyboardInterrupt:
            continue
        return


def _asked(browser: bool) -> list[str]:
    """An administrator must say so to Jupyter, and has no browser; an ordinary user must not."""
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    return (["--allow-root"] if root else []) + ([] if browser and not root else ["--no-browser"])

"""environment.yml and pyproject.toml ask for the same things, and the wheel holds all it reads."""

import importlib.util
import json
import os
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
import yaml
from packaging.requirements import Requirement

from heritagemove.museum.museum import load_museum

TOP = Path(__file__).resolve().parents[1]


def test_the_conda_environment_and_the_package_ask_for_the_same():
    project = tomllib.loads((TOP / "pyproject.toml").read_text())["project"]
    environment = yaml.safe_load((TOP / "environment.yml").read_text())
    conda = {
        Requirement(entry).name: Requirement(entry).specifier
        for entry in environment["dependencies"]
        if isinstance(entry, str) and entry != "pip"
    }
    package = {Requirement(entry).name: Requirement(entry).specifier for entry in project["dependencies"]}
    package["python"] = Requirement("python" + project["requires-python"]).specifier
    assert conda == package


def test_the_conda_environment_installs_this_package():
    environment = yaml.safe_load((TOP / "environment.yml").read_text())
    assert {"pip": ["-e ."]} in environment["dependencies"]
    assert environment["channels"] == ["conda-forge"]


def test_the_version_is_said_once():
    import heritagemove

    project = tomllib.loads((TOP / "pyproject.toml").read_text())["project"]
    assert project["version"] == heritagemove.__version__


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """The wheel, built from this folder; where the build backend is not here, pip fetches it for itself."""
    place = tmp_path_factory.mktemp("wheel")
    here = ["--no-build-isolation"] if importlib.util.find_spec("hatchling") else []
    build = [sys.executable, "-m", "pip", "wheel", "--quiet", "--disable-pip-version-check", "--no-deps", *here]
    subprocess.run([*build, "--wheel-dir", str(place), str(TOP)], check=True, timeout=300)
    return next(place.glob("*.whl"))


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory):
    """Run the command line of the installed wheel in a folder outside the clone; return what it says."""
    target, away = tmp_path_factory.mktemp("target"), tmp_path_factory.mktemp("away")
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-deps", "--no-index"]
    subprocess.run([*pip, "--target", str(target), str(wheel)], check=True, timeout=120)

    def run(*arguments):
        env = os.environ | {"PYTHONPATH": str(target)}
        done = subprocess.run([sys.executable, *arguments], cwd=away, env=env, capture_output=True, text=True, timeout=120)
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    assert Path(run("-c", "import heritagemove; print(heritagemove.__file__)").strip()).is_relative_to(target)
    return run


@pytest.mark.long
def test_the_wheel_holds_every_file_of_the_package_its_demo_and_the_limits_once(wheel):
    names = zipfile.ZipFile(wheel).namelist()
    assert len(names) == len(set(names))
    sources = {"heritagemove": TOP / "heritagemove", "heritagemove/data": TOP / "data",
               "heritagemove/notebooks": TOP / "notebooks"}  # fmt: skip
    for inside, folder in sources.items():
        unwanted = {"__pycache__", ".ipynb_checkpoints"}
        files = (path for path in folder.rglob("*") if path.is_file() and not unwanted & set(path.parts))
        assert {f"{inside}/{path.relative_to(folder).as_posix()}" for path in files} - set(names) == set()


@pytest.mark.long
def test_the_installed_wheel_starts_checks_and_compares_a_museum_without_the_clone(installed):
    installed("-m", "heritagemove", "new", "x")
    assert "no problems found" in installed("-m", "heritagemove", "check", "x")
    found = installed("-m", "heritagemove", "compare", "x", "--vehicle", "our_unit", "--format", "json", "--trials", "200")
    paths = json.loads(found)["paths"]
    offered, known = [path["path"] for path in paths], load_museum(TOP / "data" / "tamber_river").paths
    assert offered == [row.path for row in known if row.path in offered]  # those that apply, in their order
    assert {"cut_up", "own_wheels", "trailer", "decline"} <= set(offered)
    assert any(path["cost_usd"] for path in paths)


@pytest.mark.long
def test_the_installed_wheel_lays_out_its_notebooks_and_demo_museums(installed):
    lay_out = "from heritagemove.editing.laying_out import lay_out; print(*lay_out('mine').lines(), sep='\\n')"
    assert "files laid out in mine" in installed("-c", lay_out)
    for museum in ("tamber_river", "elsewhere/melderbach"):
        assert "no problems found" in installed("-m", "heritagemove", "check", f"mine/data/{museum}")
    assert installed("-c", lay_out).strip() == ""

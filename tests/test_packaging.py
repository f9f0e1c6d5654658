"""environment.yml and pyproject.toml ask for the same things, and the wheel holds all it reads."""

import importlib.util
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
import yaml
from packaging.requirements import Requirement

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


@pytest.mark.long
def test_the_wheel_holds_every_file_of_the_package_its_demo_and_the_limits_once(wheel):
    names = zipfile.ZipFile(wheel).namelist()
    assert len(names) == len(set(names))
    sources = {"heritagemove": TOP / "heritagemove", "heritagemove/data/tamber_river": TOP / "data" / "tamber_river",
               "heritagemove/data/reference": TOP / "data" / "reference"}  # fmt: skip
    for inside, folder in sources.items():
        files = (path for path in folder.rglob("*") if path.is_file() and "__pycache__" not in path.parts)
        assert {f"{inside}/{path.relative_to(folder).as_posix()}" for path in files} - set(names) == set()

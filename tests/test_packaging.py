"""environment.yml and pyproject.toml ask for the same things."""

import tomllib
from pathlib import Path

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

"""The same figures on other versions of numpy, other threads, time zones, languages and folder names.

Run by `make matrix`: it fetches two versions of numpy. A part of it is in tests/unit/test_elsewhere.py.
"""

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.matrix.elsewhere import answer

pytestmark = pytest.mark.matrix
ROOT = Path(__file__).resolve().parents[2]


def oldest_numpy():
    return re.search(r'"numpy>=([\d.]+)"', (ROOT / "pyproject.toml").read_text())[1]


@pytest.fixture(scope="module")
def expected():
    return json.loads(json.dumps(answer(ROOT / "data")))


def run(data=ROOT / "data", **environment):
    env = os.environ | {"PYTHONPATH": str(ROOT)} | environment
    program = [sys.executable, str(ROOT / "tests/matrix/elsewhere.py"), str(data)]
    done = subprocess.run(program, env=env, capture_output=True, text=True, encoding="utf-8", timeout=120)
    assert done.returncode == 0, done.stderr[-2000:]
    return json.loads(done.stdout)


def same(found, expected, where=""):
    """Numbers within 1 part in 10^9, since versions add up in another order; texts, dates and statuses exactly."""
    if isinstance(expected, dict):
        assert found.keys() == expected.keys(), where
        for key, value in expected.items():
            same(found[key], value, f"{where}/{key}")
    elif isinstance(expected, list):
        assert len(found) == len(expected), where
        for number, value in enumerate(expected):
            same(found[number], value, f"{where}/{number}")
    elif isinstance(expected, float):
        assert found == pytest.approx(expected, rel=1e-9), where
    else:
        assert found == expected, where


@pytest.mark.parametrize("version", [f"=={oldest_numpy()}.*", ""], ids=["oldest", "newest"])
def test_numpy(expected, tmp_path, version):
    install = [sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-deps", "--upgrade"]
    subprocess.run([*install, "--target", str(tmp_path), f"numpy{version}"], check=True, timeout=300)
    found = run(PYTHONPATH=os.pathsep.join([str(tmp_path), str(ROOT)]))
    print("numpy", found["machine"]["numpy"])
    assert Path(next(tmp_path.glob("numpy-*.dist-info"))).name.split("-")[1].startswith(found["machine"]["numpy"])
    same(found["answer"], expected)


@pytest.mark.parametrize("threads", ["1", "2"])
def test_threads(expected, threads):
    same(run(OMP_NUM_THREADS=threads, OPENBLAS_NUM_THREADS=threads)["answer"], expected)


@pytest.mark.parametrize("zone", ["America/Los_Angeles", "Pacific/Kiritimati", "Pacific/Pago_Pago", "Asia/Kathmandu"])
def test_time_zones(expected, zone):
    same(run(TZ=zone)["answer"], expected)


@pytest.mark.parametrize("language", ["de_DE.UTF-8", "fr_FR.UTF-8", "tr_TR.UTF-8", "ar_EG.UTF-8"])
def test_languages(expected, language):
    found = run(LC_ALL=language, LANG=language, LANGUAGE=language[:2])
    if found["machine"]["language"] == "not installed here":
        pytest.skip(f"{language} is not installed on this machine")
    same(found["answer"], expected)


def test_a_folder_with_blanks_and_accents(expected, tmp_path):
    place = shutil.copytree(ROOT / "data", tmp_path / "Musée d'été – données 数据" / "un deux")
    same(run(place)["answer"], expected)

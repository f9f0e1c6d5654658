"""The same figures in another time zone and language, from a folder with blanks and accents; more in tests/matrix."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

from tests.matrix.elsewhere import answer

ROOT = Path(__file__).resolve().parents[2]


def test_another_time_zone_language_and_folder_give_the_same_figures(tmp_path):
    place = shutil.copytree(ROOT / "data", tmp_path / "Musée d'été – données" / "un deux")
    elsewhere = {"TZ": "Pacific/Kiritimati", "LC_ALL": "de_DE.UTF-8", "OMP_NUM_THREADS": "1", "PYTHONPATH": str(ROOT)}
    program = [sys.executable, str(ROOT / "tests/matrix/elsewhere.py"), str(place)]
    done = subprocess.run(program, env=os.environ | elsewhere, capture_output=True, text=True, encoding="utf-8", timeout=60)
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert said["machine"]["time zone"][0] == "+14"
    assert said["answer"] == json.loads(json.dumps(answer(ROOT / "data")))

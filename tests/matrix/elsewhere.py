"""Print a comparison of the demo as JSON: run as a program under another numpy, time zone, language, folder.

    python elsewhere.py DATA
"""

import json
import locale
import sys
import time
from pathlib import Path

import numpy as np

from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.museum import load_museum
from heritagemove.trials.simulation import draw


def answer(data, trials=300):
    """Return what every figure of one unit is, from a folder with the demo museum and the reference tables."""
    museum = load_museum(Path(data) / "tamber_river")
    return compare_paths(museum, "caboose", {}, draw(museum, trials=trials)).as_json()


if __name__ == "__main__":
    try:
        named = locale.setlocale(locale.LC_ALL, "")
    except locale.Error:
        named = "not installed here"
    machine = {"numpy": np.__version__, "time zone": time.tzname, "language": named}
    sys.stdout.write(json.dumps({"machine": machine, "answer": answer(sys.argv[1])}))

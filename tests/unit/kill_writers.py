"""Kill a writer at random moments and count what it leaves: python kill_writers.py FOLDER TIMES.

The child acknowledges each save through a pipe, as a planner sees "saved". The moment is a random
time after a random acknowledgement, so that a busy machine kills no idle child.
"""

import hashlib
import json
import os
import random
import signal
import sys
import time
from pathlib import Path

from heritagemove.files.saving import clean, save


def content(number: int) -> bytes:
    """Return a text that proves itself whole: a number, a filling and the digest of both."""
    body = f"{number:08d}".encode() * (2_000 + number % 7 * 1_500)
    return body + hashlib.sha256(body).hexdigest().encode()


def number_in(data: bytes) -> int | None:
    """Return the number of a text that is whole, or None."""
    body, digest = data[:-64], data[-64:]
    return int(body[:8]) if hashlib.sha256(body).hexdigest().encode() == digest else None


def write_for_ever(path: Path, number: int, pipe: int) -> None:
    while True:
        number += 1
        save(path, content(number), keep_previous=bool(number % 2))
        os.write(pipe, number.to_bytes(4, "big"))


def kill_one(path: Path, first: int, chance: random.Random) -> list[int]:
    """Return the saves that a child acknowledged before it was killed."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        write_for_ever(path, first, writing)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        said = pipe.read(4 * chance.randrange(3))
        time.sleep(chance.uniform(0, 0.004))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        said += pipe.read()
    return [int.from_bytes(said[place : place + 4], "big") for place in range(0, len(said), 4)]


def main(folder: Path, times: int) -> dict[str, int]:
    path, chance = folder / "rates.csv", random.Random(8)
    counts = dict.fromkeys(("saves", "lost", "broken", "scraps", "left"), 0)
    held: int | None = 0
    save(path, content(0))
    for _ in range(times):
        first = held or 0
        acknowledged = kill_one(path, first, chance)
        held = number_in(path.read_bytes())
        last = acknowledged[-1] if acknowledged else first
        counts["saves"] += len(acknowledged)
        counts["broken"] += held is None
        counts["lost"] += held is not None and not last <= held <= last + 1
        counts["scraps"] += clean(folder)
        counts["left"] += len({entry.name for entry in folder.iterdir()} - {"rates.csv", "rates.csv.previous"})
    return counts


if __name__ == "__main__":
    print(json.dumps(main(Path(sys.argv[1]), int(sys.argv[2]))))

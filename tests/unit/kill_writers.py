"""Kill a writer at random moments and count what it leaves: python kill_writers.py KIND FOLDER TIMES.

The child acknowledges each save through a pipe, as a planner sees "saved". The moment is a random
time after a random acknowledgement, so that a busy machine kills no idle child. KIND is what is written:
`file` (one file), `tables` (a table and the line in the log that belongs to it) or `folder` (a folder of tables).
"""

import hashlib
import json
import os
import random
import signal
import sys
import time
from pathlib import Path

from heritagemove.files.folders import settle, write_folder
from heritagemove.files.saving import clean, save, save_together

TABLES = ("rates.csv", "tasks.csv", "museum.toml")


def content(number: int) -> bytes:
    """Return a text that proves itself whole: a number, a filling and the digest of both."""
    body = f"{number:08d}".encode() * (2_000 + number % 7 * 1_500)
    return body + hashlib.sha256(body).hexdigest().encode()


def number_in(data: bytes) -> int | None:
    """Return the number of a text that is whole, or None."""
    body, digest = data[:-64], data[-64:]
    return int(body[:8]) if hashlib.sha256(body).hexdigest().encode() == digest else None


class File:
    """One file, with what it held before beside it."""

    longest = 0.004

    def __init__(self, folder: Path) -> None:
        self.path = folder / "rates.csv"
        self.allowed = {"rates.csv", "rates.csv.previous"}

    def write(self, number: int) -> None:
        save(self.path, content(number), keep_previous=bool(number % 2))

    def begin_again(self) -> int:
        return clean(self.path.parent)

    def held(self) -> int | None:
        return number_in(self.path.read_bytes())


class Tables(File):
    """A table and its line in the log: as many lines as the table's number says."""

    longest = 0.006

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.log = folder / "changes.csv"
        self.allowed = {"rates.csv", "changes.csv"}

    def write(self, number: int) -> None:
        files = {"rates.csv": content(number), "changes.csv": lambda old: old + f"{number}\n".encode()}
        save_together(self.path.parent, files, {})

    def held(self) -> int | None:
        lines = self.log.read_text().split()
        number = number_in(self.path.read_bytes())
        # Each number once and the last one the table's: no line is lost, none is without its table.
        return number if lines == [str(line) for line in range(number + 1)] else None


class Folder(File):
    """A folder of tables that all bear one number; its photograph stays, and the old folder is kept."""

    longest = 0.02

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.place = folder / "museum"
        self.allowed = {"museum"}

    def write(self, number: int) -> None:
        write_folder(self.place, {file: content(number) for file in TABLES})
        (self.place / "photo.jpg").exists() or (self.place / "photo.jpg").write_bytes(b"engine")

    def begin_again(self) -> int:
        scraps = sum(entry.name.startswith(".") for entry in self.place.parent.iterdir())
        settle(self.place)
        for kept in self.place.parent.glob("museum.previous*"):
            assert len({number_in((kept / file).read_bytes()) for file in TABLES}) == 1
            for entry in kept.iterdir():
                entry.unlink()
            kept.rmdir()
        return scraps

    def held(self) -> int | None:
        numbers = {number_in((self.place / file).read_bytes()) for file in TABLES}
        return numbers.pop() if len(numbers) == 1 else None


KINDS = {"file": File, "tables": Tables, "folder": Folder}


def write_for_ever(kind: File, number: int, pipe: int) -> None:
    while True:
        number += 1
        kind.write(number)
        os.write(pipe, number.to_bytes(4, "big"))


def kill_one(kind: File, first: int, chance: random.Random) -> list[int]:
    """Return the saves that a child acknowledged before it was killed."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        write_for_ever(kind, first, writing)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        said = pipe.read(4 * chance.randrange(3))
        time.sleep(chance.uniform(0, kind.longest))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        said += pipe.read()
    return [int.from_bytes(said[place : place + 4], "big") for place in range(0, len(said), 4)]


def main(name: str, folder: Path, times: int) -> dict[str, int]:
    kind, chance = KINDS[name](folder), random.Random(8)
    counts = dict.fromkeys(("saves", "lost", "broken", "scraps", "left"), 0)
    held: int | None = 0
    kind.write(0)
    for _ in range(times):
        first = held or 0
        acknowledged = kill_one(kind, first, chance)
        counts["scraps"] += kind.begin_again()
        held = kind.held()
        last = acknowledged[-1] if acknowledged else first
        counts["saves"] += len(acknowledged)
        counts["broken"] += held is None
        counts["lost"] += held is not None and not last <= held <= last + 1
        counts["left"] += len({entry.name for entry in folder.iterdir()} - kind.allowed)
    return counts


if __name__ == "__main__":
    print(json.dumps(main(sys.argv[1], Path(sys.argv[2]), int(sys.argv[3]))))

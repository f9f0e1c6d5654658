"""The demo museum, loaded once and never changed."""

import gc
from pathlib import Path

import pytest

from heritagemove.museum.museum import load_museum
from heritagemove.trials import estimating
from heritagemove.trials.simulation import draw

DATA = Path(__file__).resolve().parents[1] / "data"


def pytest_collection_finish():
    """What was imported stays: the search for garbage need not look at it after each test again."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def museum():
    return load_museum(DATA / "tamber_river")


@pytest.fixture(scope="session")
def samples(museum):
    """Fewer trials than the demo asks for: enough for laws, quick for tests."""
    return draw(museum, trials=2000)


@pytest.fixture(scope="session")
def plain(museum):
    """The demo with the estimating error switched off: what its rows alone say."""
    return estimating.switched(museum, False)


@pytest.fixture(scope="session")
def plain_samples(plain, samples):
    return draw(plain, previous=samples)

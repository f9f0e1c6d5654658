"""What every benchmark measures with: one unit, one number of trials, the shortest of some runs."""

import time

VEHICLE = "foundry_switcher"
TRIALS = 10_000


def best(work, repeat=5):
    """Return the shortest of some runs [s]: the one that other programs disturbed least."""
    times = []
    for _ in range(repeat):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times)

"""What every benchmark measures with: one unit, one number of trials, the shortest of some runs."""

import resource
import time

VEHICLE = "foundry_switcher"
TRIALS = 10_000


def best(work, repeat=5):
    """Return the processor time of the shortest of some runs [s]: the one that other programs disturbed least.

    Everything measured here runs in one thread, so that on an idle machine this is the time on the clock.
    """
    times = []
    for _ in range(repeat):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return min(times)


def children_seconds():
    """Return the processor time of the processes that were started and have ended [s]."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime

"""Ten thousand trials of every path: draws, schedule, seasons, simulation, true weight, refusals, sampling error.

Imports checks, museum and units.
"""

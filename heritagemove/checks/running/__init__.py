"""Rolling: axle loads and journals, running gear, resistance, haulage, days in transit.

Pure functions. Imports units and other subjects.
"""

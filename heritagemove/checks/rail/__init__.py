"""Over the rails: bridges under moving loads, clearance, curves, load outline and placement, tie-down on a car.

Pure functions. Imports units and other subjects.
"""

"""Over the road: axle loads, bridges, swept path, permits, tie-down on a trailer, the transporter.

Pure functions. Imports units and other subjects.
"""

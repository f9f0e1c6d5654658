"""The lift: cranes, slings, the ground under them, the line above.

Pure functions. Imports units and other subjects.
"""

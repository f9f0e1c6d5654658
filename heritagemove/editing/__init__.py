"""Changing a museum: written and amended tables, values as typed and as read, a museum to begin with, first steps.

Imports museum, files and units.
"""

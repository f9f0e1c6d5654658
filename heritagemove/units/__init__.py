"""Quantities and how they are said: units, their names, measures, dates and chances in words.

Pint sees a unit name from our list, never a cell's text.
Imports nothing of ours.
"""

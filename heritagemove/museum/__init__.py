"""One decision's tables, read, cross-checked and frozen: row models, rules between tables, drivers, calendars.

A table's row model, in rows/, says everything about its columns once.
Imports files and units.
"""

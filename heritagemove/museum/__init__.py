"""One decision's tables, read, cross-checked and frozen: row models, rules between tables, drivers, calendars.

A table's row model, in rows/, says everything about its columns once. The memo knows what was made by its rows.
Imports files and units.
"""

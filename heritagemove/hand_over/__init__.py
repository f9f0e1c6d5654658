"""What leaves the house: the read-only page and its twin, the workbook, the calendar file.

The only room with jinja2 in it. Imports charts and below.
"""

"""What leaves the house: the read-only page and its twin, the workbook, the calendar file, sheets for others to print.

The only room with jinja2 in it. Imports charts and below.
"""

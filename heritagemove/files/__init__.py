"""Tables as files: read from CSV or a workbook, what a spreadsheet damages, saved whole or not at all.

Knows rows and cells, not what a row means.
Imports units.
"""

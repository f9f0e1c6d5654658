"""Changing a museum: rows written, amended, added; values as typed and as read; a museum to begin with; the form's answers.

Imports museum, files and units.
"""

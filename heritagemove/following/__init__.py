"""The move as it happens: tasks done, quotes and invoices, papers by date, the forecast again, the closed books.

Imports answers, compare, trials, museum and units.
"""

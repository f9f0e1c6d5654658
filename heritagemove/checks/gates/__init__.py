"""The checks wired to a museum: what carries a unit, what each gate asks, what it found.

The only room of the checks that sees museum and survey.
"""

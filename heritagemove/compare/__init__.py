"""All paths of one unit beside each other: inputs, comparison, results, the dated decision, scenario files.

Imports trials and below.
"""

"""From what is seen on the ground to what it says: evidence (Bayes), bearing types, readiness to roll.

Imports units.
"""

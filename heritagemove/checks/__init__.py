"""Whether it may be done: quantities in, a Check out.

Subjects (rail, road, lift, running) are pure and import units and each other; gates wire them to a museum's rows.
"""

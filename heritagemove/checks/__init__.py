"""Whether it may be done: quantities in, a Check out.

Subjects (rail, road, lift, running) are pure and import units and each other; gates wire them to a museum's rows.
A weight, length, speed, rate or rating is above 0 unless its parameter says otherwise; what is out of range is a
ValueError, and what has no unit a TypeError, that names it.
"""

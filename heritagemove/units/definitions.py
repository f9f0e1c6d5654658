"""The units that a relocation is measured in, in pint's grammar, and no others: pint's own list takes as long as all else.

Values are those of the international yard and pound (1959) and of the SI; a test holds each against pint's own.
"""

from heritagemove.units.names import COUNTED_UNITS, CURRENCIES

_MEASURES = """
milli- = 1e-3 = m-
centi- = 1e-2 = c-
kilo- = 1e3 = k-
meter = [length] = m = metre
second = [time] = s = sec
ampere = [current] = A = amp
gram = [mass] = g
kelvin = [temperature]; offset: 0 = K
radian = [] = rad
degree = π / 180 * radian = deg = arcdeg
percent = 0.01 = %
π = 3.1415926535897932384626433832795028841971693993751 = pi
minute = 60 * second = min
hour = 60 * minute = h = hr
day = 24 * hour = d
week = 7 * day
year = 365.25 * day = a = yr
month = year / 12
yard = 0.9144 * meter = yd
foot = yard / 3 = ft = _ = feet
inch = yard / 36 = in = _ = inches
mile = 1760 * yard = mi
cubic_inch = inch ** 3 = cu_in
gallon = 231 * cubic_inch = gal
grain = 64.79891 * milligram = gr
pound = 7000 * grain = lb
# pint shows a short ton as "ton", the one word that must not stand alone; here it is shown as it is typed.
short_ton = 2000 * pound = short_ton
long_ton = 2240 * pound = long_ton
metric_ton = 1e3 * kilogram = t = tonne
standard_gravity = 9.80665 * meter / second ** 2 = g_0
newton = kilogram * meter / second ** 2 = N
pascal = newton / meter ** 2 = Pa
joule = newton * meter = J
watt = joule / second = W
coulomb = ampere * second = C
volt = joule / coulomb = V
force_pound = standard_gravity * pound = lbf = pound_force
kip = 1e3 * force_pound
pound_force_per_square_inch = force_pound / inch ** 2 = psi
mile_per_hour = mile / hour = mph
kilometer_per_hour = kilometer / hour = kph
horsepower = 550 * foot * force_pound / second = hp
[area] = [length] ** 2
[speed] = [length] / [time]
[acceleration] = [speed] / [time]
[force] = [mass] * [acceleration]
[pressure] = [force] / [area]
USD = [money]
"""

#: Lines of the registry: measures, then the currencies and what is counted, each a dimension of its own.
LINES = [
    *(line for line in _MEASURES.splitlines() if line),
    *(f"{code} = USD" for code in CURRENCIES[1:]),
    *(f"{name} = [{name}_count]" for name in COUNTED_UNITS),
]

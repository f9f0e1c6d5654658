"""Names of units that are not of physics: what is counted and hired, and the currencies."""

#: Counted things and hired time, each a dimension of its own. Without that, pint would
#: price a 9,600 USD/day crane for 6 hours by a 24-hour day.
COUNTED_UNITS = {
    "axle": "one axle",
    "journal_box": "one journal box (two to an axle)",
    "motor": "one traction motor",
    "truck": "one truck under a vehicle",
    "truck_pair": "two trucks",
    "draft_end": "one end's coupler and draft gear",
    "vehicle": "one locomotive or car (an engine with its tender counts as one)",
    "boiler": "one lagged boiler",
    "train": "one special train",
    "flat_car": "one carrying car",
    "site": "one end of the move: origin or destination",
    "crane_call": "one crane brought to one site and taken away",
    "lift": "one main lift",
    "load": "one road load",
    "permit": "one permit",
    "state": "one state, or other office that gives permits of its own",
    "border": "one crossing from a state into another",
    "jurisdiction": "one county or town that issues its own permit",
    "carrier": "one railroad on the route",
    "request": "one request for an exception",
    "visit": "one inspector's visit",
    "bridge": "one bridge",
    "tie": "one cross tie",
    "route": "one road route surveyed",
    "ramp_end": "one end where a ramp is laid",
    "wire": "one wire or line over the road",
    "tie_down": "one tie-down chain or rod",
    "survey": "one survey or engineering report",
    "job": "one job at a fixed price",
    "crane_hour": "one crane hired with its crew for one hour",
    "labor_hour": "one person's skilled work for one hour",
    "crew_day": "one crew with its gear for one day",
    "escort_day": "one escort vehicle for one day",
    "machine": "one side-lifting machine with its operator",
    "track_panel": "one panel of track",
    "rider_day": "one rider for one day",
    "utility_day": "one bucket crew for one day",
    "flat_car_day": "one carrying car on hire for one day",
    "line_day": "one transporter axle line on hire for one day",
    "jack_week": "one set of jacks with cribbing for one week",
    "truck_month": "one idler truck on hire for one month",
    "storage_month": "one vehicle in storage for one month",
    "task_day": "one working day that a task lasts, delays included",
    "holdover_day": "one calendar day on site after the deadline",
}

#: ISO 4217 codes of the currencies that prices can be in. A museum uses one, which the rules between tables see
#: to, so that all can be one kind of unit; a text in one is never read as another.
CURRENCIES = ("USD", "AUD", "CAD", "CHF", "CZK", "DKK", "EUR", "GBP", "HUF", "JPY", "NOK", "NZD", "PLN", "SEK", "ZAR")

"""Desks with an answer that was made before: of one unit, or of all units of a site."""

from heritagemove.panels.state import Desk


def desk_of(comparison):
    """Return a desk on which a comparison lies."""
    return Desk(comparison.base, comparison.vehicle, comparison=comparison)


class SiteDesk(Desk):
    """A desk on which the decision of a site lies."""

    site = None

    def __init__(self, decided, vehicle=None):
        self.site = decided
        fleet = decided.fleet
        vehicle = vehicle or next(iter(fleet.comparisons))
        super().__init__(fleet.museum, vehicle, comparison=fleet.comparisons[vehicle])

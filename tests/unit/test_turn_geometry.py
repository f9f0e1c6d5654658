"""The width of a turn, against a body that is moved through it point by point."""

import math

import numpy as np
import pytest

from heritagemove.checks.road.swept_path import RigidBody, least_turn_width, off_tracking, steady_turn_width, turn_check
from heritagemove.units.units import Quantity


def feet(number):
    return Quantity(float(number), "ft")


def least(length, width, radius, angle):
    found = least_turn_width(feet(length), feet(width), feet(radius), Quantity(angle, "degree"))
    return None if found is None else found.m_as("ft")


# A lane of which the outer edge is: up the line x = -R to (-R, 0), the arc about (0, 0) clockwise through `angle`,
# and on along the tangent. Depth of a point: how far it stands inside that edge, beside the nearest part of it.


def edge(radius, angle, at):
    """Return the point of the outer edge at a length `at` from where the arc begins."""
    turn = math.radians(angle)
    if at < 0:
        return np.array([-radius, at])
    if at <= radius * turn:
        return radius * np.array([-math.cos(at / radius), math.sin(at / radius)])
    end = radius * np.array([-math.cos(turn), math.sin(turn)])
    return end + (at - radius * turn) * np.array([math.sin(turn), math.cos(turn)])


def depth(radius, angle, points):
    """Return how deep points stand inside the outer edge; below 0 outside."""
    turn = math.radians(angle)
    along = np.array([math.sin(turn), math.cos(turn)])
    outward = np.array([-math.cos(turn), math.sin(turn)])
    straight_in = points[:, 0] + radius
    straight_out = radius - points @ outward
    arc = radius - np.hypot(*points.T)
    return np.where(points[:, 1] < 0, straight_in, np.where(points @ along > 0, straight_out, arc))


def sides(rear, front, width):
    """Return points along the inner side and both ends of a body whose outer side runs from rear to front."""
    ahead = (front - rear) / np.hypot(*(front - rear))
    inward = np.array([ahead[1], -ahead[0]])
    share = np.linspace(0, 1, 41)[:, None]
    outer = rear + share * (front - rear)
    return np.concatenate([outer, outer + width * inward, rear + share * width * inward, front + share * width * inward])


def deepest(length, width, radius, angle):
    """Slide a body along the outer edge, both outer corners on it, and return how deep it ever reaches."""
    found = 0.0
    for at in np.linspace(-length - 5, radius * math.radians(angle) + 5, 301):
        rear, low, high = edge(radius, angle, at), at, at + 3 * length
        for _ in range(30):
            middle = (low + high) / 2
            low, high = (middle, high) if np.hypot(*(edge(radius, angle, middle) - rear)) < length else (low, middle)
        found = max(found, depth(radius, angle, sides(rear, edge(radius, angle, low), width)).max())
    return found


TURNS = [(44.5, 10, 70, 90), (44.5, 10, 70, 20), (82, 10.1, 70, 90), (82, 10.1, 70, 45), (18.4, 16, 60, 75), (60, 8, 40, 30),
         (39, 10.2, 45, 120)]  # fmt: skip


@pytest.mark.parametrize(("length", "width", "radius", "angle"), TURNS)
def test_a_body_that_slides_along_the_outer_edge_needs_the_least_width_and_no_more(length, width, radius, angle):
    assert deepest(length, width, radius, angle) == pytest.approx(least(length, width, radius, angle), abs=0.02)


@pytest.mark.parametrize(("length", "width", "radius", "angle"), TURNS)
def test_half_turned_no_place_in_a_narrower_lane_holds_the_body(length, width, radius, angle):
    """A body that turns by the angle has half of it behind it at some moment: every place is tried, in steps of 6 in."""
    narrow, half = least(length, width, radius, angle) - 0.3, math.radians(angle / 2)
    ahead = np.array([math.sin(half), math.cos(half)])
    inward = np.array([ahead[1], -ahead[0]])
    apex = edge(radius, angle, radius * half)
    fits = []
    for along in np.arange(-length, length, 0.5):
        for inside in np.arange(0, narrow, 0.5):
            middle = apex + along * ahead + inside * inward
            deep = depth(radius, angle, sides(middle - length / 2 * ahead, middle + length / 2 * ahead, width))
            fits.append(deep.min() >= -1e-9 and deep.max() <= narrow)
    assert not any(fits)


def test_a_turn_of_nothing_needs_the_body_s_own_width_and_a_longer_one_never_less():
    assert least(44.5, 10, 60, 0) == 10
    widths = [least(44.5, 10, 60, angle) for angle in range(0, 361, 5)]
    assert widths == sorted(widths)


def test_from_its_own_chord_s_angle_on_a_turn_needs_no_more():
    """2 asin(22.25 / 60) = 43.5 degrees; 10 + 60 - sqrt(3600 - 495.06) = 14.28 ft."""
    assert least(44.5, 10, 60, 43.5) == pytest.approx(14.278, abs=1e-3)
    assert [least(44.5, 10, 60, angle) for angle in (44, 90, 270)] == pytest.approx([14.278] * 3, abs=1e-3)


def test_a_body_longer_than_twice_the_radius_never_turns_about_but_may_turn_a_corner():
    assert least(44.5, 10, 22, 180) is None
    assert least(44.0, 10, 22, 180) == pytest.approx(32)
    assert least(44.5, 10, 22, 90) == pytest.approx(10 + 22 - 22 * math.sqrt(2) + 22.25)


def steady(radius, wheelbases, overhang=4, width=8, bodies=((24, 8, 24),)):
    rows = [RigidBody(*map(feet, body)) for body in bodies]
    found = steady_turn_width(feet(radius), [feet(x) for x in wheelbases], feet(width), feet(overhang), rows)
    return None if found is None else found.m_as("ft")


@pytest.mark.parametrize(("radius", "inside"), [(43.3, 28.4)])
def test_a_truck_of_30_ft_sweeps_what_its_published_radii_say(radius, inside):
    """SU-30: path of the front overhang 43.3 ft and inside radius 28.4 ft (the first from memory), 20 ft and 4 ft ahead."""
    assert steady(radius, [20]) == pytest.approx(radius - inside, abs=0.4)


def test_every_corner_of_a_long_turn_stays_inside_the_outer_edge_and_one_touches_it():
    """Truck 20 ft, hitch 1 ft ahead of its drive axles, trailer 40 ft; load from 45 ft ahead to 15 ft behind."""
    radius, bodies = 120.0, ((60, 10, 45), (50, 9, 38))
    inner = radius - steady(radius, [20, -1, 40], bodies=bodies)
    turning = inner + 5  # the middle of the last axles: the wider body's inner side is the inner edge
    drive = math.sqrt(turning**2 + 40**2 - 1)
    corners = [math.hypot(drive + 4, 24)]
    corners += [math.hypot(turning + w / 2, end) for length, w, ahead in bodies for end in (ahead, length - ahead)]
    assert max(corners) == pytest.approx(radius)
    first = math.sqrt(drive**2 + 20**2)
    assert first - turning == pytest.approx(off_tracking(feet(first), [feet(x) for x in (20, -1, 40)]).m_as("ft"))


def test_what_hangs_over_widens_a_long_turn():
    plain = steady(100, [20, 40], overhang=0, bodies=((40, 8, 40),))
    assert steady(100, [20, 40], overhang=5, bodies=((40, 8, 40),)) > plain
    assert steady(100, [20, 40], overhang=0, bodies=((120, 8, 40),)) > plain


def test_on_too_tight_a_turn_steady_state_is_not_reached():
    assert steady(41, [19.5, 45.5]) is None
    assert steady(30, [20], bodies=((80, 8, 40),)) is None


@pytest.mark.parametrize(
    ("clear", "status", "margin"),
    [(13.9, "fail", -0.1), (14, "open", None), (20.9, "open", None), (21, "marginal", 0), (25, "pass", 4)],
)
def test_below_the_least_stops_and_from_a_long_turn_with_its_room_on_is_clear(clear, status, margin):
    found = turn_check(feet(14), feet(20), feet(clear), Quantity(12, "in"), "gate")
    assert found.status == status
    assert margin is None if found.margin is None else found.margin.m_as("ft") == pytest.approx(margin)


def test_an_open_turn_says_both_figures_and_who_decides():
    found = turn_check(feet(14), feet(20), feet(18), Quantity(12, "in"), "gate")
    assert found.note.startswith(
        "The hauler's drawing decides: any steering needs 14 ft, a long turn takes 20 ft, without room"
    )
    assert (found.demand, found.capacity) == (feet(21), feet(18))


def test_a_turn_that_no_steady_state_is_reached_on_stays_open_however_wide():
    found = turn_check(feet(14), None, feet(60), Quantity(12, "in"), "gate")
    assert found.status == "open" and "a long turn is not reached" in found.note


def test_a_body_that_no_width_helps_stops_without_a_number():
    found = turn_check(None, None, feet(60), Quantity(12, "in"), "gate")
    assert (found.status, found.demand) == ("fail", None)
    assert "longer than twice the outer radius" in found.note


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: least(0, 10, 60, 90), "length must be more than 0; found 0 ft"),
        (lambda: least(40, 10, 0, 90), "outer radius must be more than 0; found 0 ft"),
        (lambda: least(40, 10, 60, 361), "turn angle must be 0 to 360 degree; found 361 degree"),
        (lambda: steady(50, [20], overhang=-1), "front overhang must be at least 0; found -1 ft"),
        (lambda: steady(50, [20], bodies=()), "give at least 1 body of the last trailer; found none"),
    ],
)
def test_values_out_of_range_are_refused_with_what_was_found(call, message):
    with pytest.raises(ValueError) as error:
        call()
    assert str(error.value) == message

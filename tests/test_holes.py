"""Holes of a brace's foot on a rail against drilling guides; every distance computed by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from sim.judge.drilling import guide_named
from sim.judge.holes import Drilled, bolt_diameter, drilled, keeps
from sim.judge.holes_move import Move, move_onto_old, nearest_move
from sim.measure.foot import foot_holes
from sim.scene.parts import Brace, Foot, Hole, Rail

LIGHT, MEDIUM = "light truck", "medium truck"
HEAVY, BODY, CODE = "heavy all-wheel drive", "chassis conversion", "national code"


def rail(*holes: Hole, side: str = "left", **changes: Any) -> Rail:
    """A channel 180 mm high, 6 mm thick, its bottom edge 500 mm up."""
    values: dict[str, Any] = {"apart": 0.43, "up": 0.5, "height": 0.18, "flange": 0.065}
    return Rail(
        **{**values, "side": side, "wall": 0.006, "kind": "channel", "holes": holes} | changes
    )


def foot(**changes: Any) -> Foot:
    """2 by 2 holes of 13 mm, 60 by 50 mm apart, level with the bearing's center."""
    values: dict[str, Any] = {"columns": 2, "rows": 2, "along": 0.06, "upright": 0.05}
    values |= {"hole": 0.013, "bolt": "M12", "aft": 0.0, "up": 0.0}
    return Foot(**values | changes)


def places_of(by: Foot, on: Rail, center_up: float, row_pitch: float | None = None) -> np.ndarray:
    """The bearing's center at 2000 mm and this far above the bottom edge; hole rows from 480 mm."""
    brace = Brace(
        start=np.array([1.9, -0.01, 0.56]),
        end=np.array([2.1, 0.01, 0.48]),
        row_pitch=row_pitch,
        hole_pitch=None,
        slot=None,
        shims=(),
        foot=by,
    )
    return foot_holes(brace, np.array([2.0, 0.01, on.up + center_up]), on)


def holes(
    center_up: float, guide: str, on: Rail | None = None, by: Foot | None = None
) -> tuple[Drilled, ...]:
    """The foot's holes, the bearing's center at 2000 mm and this far above the bottom edge."""
    on, by = on or rail(), by or foot()
    return drilled(on, by, places_of(by, on, center_up), guide_named(guide))


def said(hole: Drilled) -> dict[str, tuple[float, float, bool, str]]:
    """What was asked of a hole: value and limit [mm or count], kept, to what."""
    return {
        c.asked: (round(c.value * 1e3, 6), round(c.limit * 1e3, 6), c.kept, c.to)
        for c in hole.checks
    }


def test_places_of_the_holes() -> None:
    # bearing 2000 mm aft, 31 above the bottom edge; foot 20 aft, 45 above it: middle 2020, 76
    by = foot(aft=0.02, up=0.045, columns=3, rows=2)
    expected = [(1960, 101), (2020, 101), (2080, 101), (1960, 51), (2020, 51), (2080, 51)]
    assert places_of(by, rail(), 0.031) * 1e3 == pytest.approx(np.array(expected, dtype=float))
    one = foot(columns=1, rows=1)
    assert places_of(one, rail(), 0.1) * 1e3 == pytest.approx(np.array([(2000.0, 100.0)]))


@pytest.mark.parametrize("center_up", [0.0, 0.024])
def test_a_brace_with_hole_rows_stays_where_it_is_bolted(center_up: float) -> None:
    # lowest row 480 mm up, the rail's edge 500: 45 above that row is 25 above the edge
    by = foot(columns=1, rows=1, up=0.045)
    found = places_of(by, rail(), center_up, row_pitch=0.012)
    assert found * 1e3 == pytest.approx(np.array([(2000.0, 25.0)]))


def test_light_truck_keeps() -> None:
    # middle 90 mm up: rows at 115 and 65; hole edge to inside of flange: 180 - 115 - 6 - 6.5 = 52.5
    # and 65 - 6 - 6.5 = 52.5, asked 38; holes 50 apart, edges 50 - 13 = 37, asked 25 (to 16 mm)
    found = holes(0.09, LIGHT)
    assert [hole.number for hole in found] == [1, 2, 3, 4]
    assert said(found[0]) == {
        "edge": (52.5, 38, True, "top flange"),
        "pitch": (37, 25, True, "hole 3"),
        "in one line": (2000, 3000, True, ""),
        "largest": (13, 19, True, ""),
    }
    assert said(found[2])["edge"] == (52.5, 38, True, "bottom flange")
    assert not any(hole.broken for hole in found)


@pytest.mark.parametrize(
    ("guide", "up", "value", "limit", "kept"),
    [
        # lower row stands 25 mm below the middle of the foot
        (LIGHT, 75.5, 75.5 - 25 - 6 - 6.5, 38, True),  # exactly 38
        (LIGHT, 75.4, 37.9, 38, False),
        (BODY, 65.0, 40, 40, True),  # center to rail edge: 65 - 25
        (BODY, 64.9, 39.9, 40, False),
        (HEAVY, 87.0, 62, 62, True),  # center to rail edge: 87 - 25
        (HEAVY, 86.9, 61.9, 62, False),
    ],
)
def test_edge(guide: str, up: float, value: float, limit: float, kept: bool) -> None:
    lower = holes(up / 1e3, guide)[2]
    assert said(lower)["edge"] == (pytest.approx(value), limit, kept, "bottom flange")


@pytest.mark.parametrize(("up", "kept"), [(37.5, True), (37.4, False)])
def test_a_guide_without_an_edge_still_keeps_off_the_flange(up: float, kept: bool) -> None:
    # hole edge to inside of flange: 37.5 - 25 - 6 - 6.5 = 0
    lower = holes(up / 1e3, MEDIUM)[2]
    assert said(lower)["flange"] == (pytest.approx(up - 37.5), 0, kept, "bottom flange")
    assert said(holes(up / 1e3, CODE)[2])["flange"][2] is kept


@pytest.mark.parametrize(
    ("guide", "hole", "pitch", "value", "limit", "kept"),
    [
        (LIGHT, 13, 38, 25, 25, True),  # edges: pitch - hole
        (LIGHT, 13, 37.9, 24.9, 25, False),
        (LIGHT, 18, 45, 27, 27, True),  # above 16 mm 1.5 diameters
        (LIGHT, 18, 44.9, 26.9, 27, False),
        (MEDIUM, 13, 26, 13, 13, True),
        (MEDIUM, 13, 25.9, 12.9, 13, False),
        (HEAVY, 13, 50, 50, 50, True),  # centers
        (HEAVY, 13, 49.9, 49.9, 50, False),
        (BODY, 13, 45, 45, 45, True),
        (BODY, 13, 44.9, 44.9, 45, False),
    ],
)
def test_pitch(
    guide: str, hole: float, pitch: float, value: float, limit: float, kept: bool
) -> None:
    by = foot(rows=1, along=pitch / 1e3, hole=hole / 1e3, bolt=None)
    first = holes(0.09, guide, by=by)[0]
    assert said(first)["pitch"] == (pytest.approx(value), limit, kept, "hole 2")


def test_pitch_to_an_old_hole() -> None:
    # hole 1 at 1970, 115; old one of 17 mm 40 mm ahead: edges 40 - 6.5 - 8.5 = 25, asked 1.5 x 17
    old = Hole(name="hose clip", aft=1.93, up=0.115, diameter=0.017)
    found = holes(0.09, LIGHT, rail(old))
    assert said(found[0])["pitch"] == (25, 25.5, False, "hose clip")
    assert said(found[1])["pitch"] == (37, 25, True, "hole 4")
    assert [len(hole.broken) for hole in found] == [1, 0, 0, 0]


@pytest.mark.parametrize(
    ("guide", "size", "limit", "kept"),
    [
        (LIGHT, 19.0, 19, True),
        (LIGHT, 19.1, 19, False),
        (HEAVY, 15.1, 15, False),
        (BODY, 15.1, 15, False),
        (BODY, 15.0, 15, True),
    ],
)
def test_largest(guide: str, size: float, limit: float, kept: bool) -> None:
    by = foot(hole=size / 1e3, along=0.1, upright=0.05)
    assert said(holes(0.09, guide, by=by)[0])["largest"] == (size, limit, kept, "")


@pytest.mark.parametrize(
    ("bolt", "hole", "play", "kept"),
    [("M12", 13.0, 1.0, True), ("M12", 13.1, 1.1, False), ("1/2-13", 13.5, 0.8, True)],
)
def test_over_the_bolt(bolt: str, hole: float, play: float, kept: bool) -> None:
    by = foot(hole=hole / 1e3, bolt=bolt)
    asked = said(holes(0.09, CODE, by=by)[0])
    assert asked["over the bolt"] == (pytest.approx(play), 1, kept, "")
    assert "over the bolt" not in said(holes(0.09, CODE, by=foot(bolt=None))[0])


def test_holes_in_one_vertical_line() -> None:
    # old holes of 13 mm over hole 1 (station 1970): 12 mm aside is in its line, 13 mm is not
    above = Hole(name="a", aft=1.982, up=0.155, diameter=0.013)
    beside = Hole(name="b", aft=1.957, up=0.025, diameter=0.013)
    found = holes(0.09, LIGHT, rail(above, beside))
    assert [said(h)["in one line"][:3] for h in found[:2]] == [
        (3000, 3000, True),
        (2000, 3000, True),
    ]
    more = Hole(name="c", aft=1.97, up=0.025, diameter=0.013)
    found = holes(0.09, LIGHT, rail(above, more))
    assert said(found[0])["in one line"][:3] == (4000, 3000, False)
    assert said(holes(0.09, MEDIUM, rail(above, more))[0])["in one line"][:3] == (4000, 4000, True)


def test_an_old_hole_that_serves() -> None:
    # hole 2 at 2030, 115: an old hole 1 mm aside of 13 mm takes the bolt
    old = Hole(name="old hanger", aft=2.031, up=0.115, diameter=0.013)
    found = holes(0.09, LIGHT, rail(old))
    assert [hole.uses for hole in found] == ["", "old hanger", "", ""]
    assert found[1].checks == ()
    assert said(found[3])["in one line"][:2] == (2000, 3000)  # counted once
    assert not any(hole.broken for hole in found)


@pytest.mark.parametrize("diameter", [11.0, 14.1])
def test_an_old_hole_that_does_not_fit_is_in_the_way(diameter: float) -> None:
    # smaller than the M12 bolt, or more than 1 mm larger than the foot's 13 mm
    old = Hole(name="old hanger", aft=2.03, up=0.115, diameter=diameter / 1e3)
    second = holes(0.09, LIGHT, rail(old))[1]
    assert second.uses == ""
    value, _, kept, to = said(second)["pitch"]
    assert (value, kept, to) == (pytest.approx(-(13 + diameter) / 2), False, "old hanger")


def test_a_bolt_by_its_thread() -> None:
    assert bolt_diameter("M12") == 0.012
    assert bolt_diameter("1/2-20") == pytest.approx(0.0127)
    assert bolt_diameter(None) is None


# --- moves --------------------------------------------------------------------------------


def both(*left: Hole, right: tuple[Hole, ...] = (), **changes: Any) -> tuple[Rail, Rail]:
    return rail(*left, **changes), rail(*right, side="right", **changes)


def moved(
    rails: tuple[Rail, Rail], up: float, guide: str, by: Foot | None = None, step: float = 1e-3
) -> Move | None:
    by = by or foot()
    places = [places_of(by, on, up) for on in rails]
    return nearest_move(rails, by, places, guide_named(guide), step)


def test_the_nearest_move_up() -> None:
    # 70 mm up: lower row 70 - 25 - 12.5 = 32.5 of 38 mm, 5.5 too little: 6 whole millimeters up
    move = moved(both(), 0.07, LIGHT)
    assert move is not None
    assert (move.aft, move.up) == (0, pytest.approx(0.006))
    # in sixteenths of an inch: 5.5 mm are 3.46, so 4
    move = moved(both(), 0.07, LIGHT, step=0.0254 / 16)
    assert move is not None
    assert move.up == pytest.approx(0.00635)


def test_the_nearest_move_holds_on_both_rails() -> None:
    # left is kept as it is; on the right an old hole 20 mm behind hole 2 (edges 20 - 13 = 7 of 25)
    # asks for 38 mm between centers: 18 forward, or up and down by more
    old = Hole(name="clip", aft=2.05, up=0.115, diameter=0.013)
    move = moved(both(right=(old,)), 0.09, LIGHT)
    assert move is not None
    assert (move.aft, move.up) == (pytest.approx(-0.018), 0)


@pytest.mark.parametrize(
    ("rails", "by"),
    [
        (both(height=0.1), foot()),  # 50 + 13 + 2 (38 + 6) = 151 mm are needed
        (both(), foot(hole=0.0191)),  # no move makes a hole smaller
        (both(), foot(along=0.03)),  # nor draws a foot's own holes apart
    ],
)
def test_where_no_move_helps(rails: tuple[Rail, Rail], by: Foot) -> None:
    assert moved(rails, 0.07, LIGHT, by) is None


def test_a_move_onto_an_old_hole() -> None:
    # old hole 7.5 mm behind and 7 mm above hole 1 (1970, 95); the middle then stands 77 mm up
    old = Hole(name="old hanger", aft=1.9775, up=0.102, diameter=0.013)
    rails = both(old)
    places = [places_of(foot(), on, 0.07) for on in rails]
    move = move_onto_old(rails, foot(), places, guide_named(LIGHT))
    assert move is not None
    assert (move.aft, move.up) == (pytest.approx(0.0075), pytest.approx(0.007))
    assert move.uses == ("old hanger (left)",)
    assert move_onto_old(both(), foot(), places, guide_named(LIGHT)) is None
    # one that is too far, or too large for the bolt
    for other in (
        Hole(name="far", aft=2.2, up=0.102, diameter=0.013),
        Hole(name="large", aft=1.9775, up=0.102, diameter=0.017),
    ):
        assert move_onto_old(both(other), foot(), places, guide_named(LIGHT)) is None


def test_old_holes_may_serve_a_foot_whose_own_pitch_a_guide_forbids() -> None:
    # two holes 30 mm apart, edges 17 of 25; old ones stand just so, 3 mm behind: 2 mm do, since a
    # bolt has 1 mm of play
    by = foot(rows=1, along=0.03)
    old = (
        Hole(name="a", aft=1.988, up=0.09, diameter=0.013),
        Hole(name="b", aft=2.018, up=0.09, diameter=0.013),
    )
    move = moved(both(*old, right=old), 0.09, LIGHT, by)
    assert move is not None
    assert (move.aft, move.up) == (pytest.approx(0.002), 0)
    assert move.uses == ("a (left)", "b (left)", "a (right)", "b (right)")


@pytest.mark.parametrize("guide", [LIGHT, MEDIUM, HEAVY, BODY, CODE])
def test_many_feet_at_once_are_judged_as_one_by_one(guide: str) -> None:
    old = Hole(name="a", aft=2.02, up=0.11, diameter=0.0134)
    on, by = rail(old), foot()
    draw = np.random.default_rng(7).uniform(-0.06, 0.06, (60, 1, 2))
    places = places_of(by, on, 0.09) + draw
    places[0] += (2.02, 0.11) - places[0, 0]  # on the old hole
    one_by_one = [
        not any(hole.broken for hole in drilled(on, by, feet, guide_named(guide)))
        for feet in places
    ]
    assert keeps(on, by, places, guide_named(guide)).tolist() == one_by_one
    assert not all(one_by_one)
    assert any(one_by_one) or guide == HEAVY

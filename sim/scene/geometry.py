"""Cross checks of places and lengths, on the configuration built from a set-up."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import assert_never

from sim import units
from sim.scene.design import Configuration
from sim.scene.misread import FARTHEST_AXLE, LENGTH_SPREAD, SHORTEST, asked, centers_of, lengths_off
from sim.scene.state_checks import shown
from sim.scene.tables.frame_mounted import FrameMountedKeys
from sim.scene.tables.leaf import LeafKeys
from sim.scene.tables.links import LinksKeys
from sim.scene.tables.measured import MeasuredKeys
from sim.scene.tables.setup import Setup
from sim.scene.tables.suspension import on_frame
from sim.scene.tables.travel import TravelKeys
from sim.scene.text import Found

SHORTEST_LINK = 0.05  # [m], side view
STEEPEST_SHAFT = 45.0  # [deg]
SLIPS = 5  # times its ±: a length that is off by less may be made up for by chance


def check_geometry(setup: Setup, configuration: Configuration) -> Found:
    """Yield every contradiction of places and lengths, by the path of the key to mend."""
    c = configuration
    order = list(_order(setup))
    for path, said in order:
        yield path, said + asked(setup, c, path[:-1] if path[0] == "bearing" else ())
    if order:
        return
    yield from _shafts(setup, c)
    yield from _lengths(setup, c)
    match setup.suspension:
        case LeafKeys():
            yield from _leaf(setup, setup.suspension)
        case LinksKeys():
            yield from _links(setup, setup.suspension)
        case MeasuredKeys():
            if setup.travel is not None:
                yield from _measured(setup, setup.suspension, setup.travel)
        case FrameMountedKeys() | None:
            pass
        case _:
            assert_never(setup.suspension)


def _order(setup: Setup) -> Found:
    """Refuse parts that are not in order from front to rear."""
    pinion, axle = setup.pinion.position[0], setup.axle.position[0]
    behind, who = setup.output.position[0], "the output"
    if pinion <= behind:
        said = f" puts the pinion {shown(setup, behind - pinion)} ahead of the output; "
        yield ("pinion", "aft"), said + "both are measured from the same datum, going aft"
        return
    if not on_frame(setup.suspension) and not 0 < axle - pinion < FARTHEST_AXLE:
        where = "ahead of" if axle <= pinion else "behind"
        far, most = shown(setup, abs(axle - pinion)), shown(setup, FARTHEST_AXLE)
        said = f" puts the axle center {far} {where} the pinion joint; "
        yield ("axle", "aft"), said + f"it belongs 0 to {most} behind it"
    for number in sorted(setup.bearing):
        here = setup.bearing[number].position[0]
        path = ("bearing", number, "aft")
        if here >= pinion:
            yield path, f" puts it {shown(setup, here - pinion)} behind the pinion joint"
            return
        if here <= behind:
            said = f" puts it {shown(setup, behind - here)} ahead of {who}; "
            yield path, said + "bearings are numbered from the front"
            return
        behind, who = here, f"bearing {number}"


def _shafts(setup: Setup, configuration: Configuration) -> Found:
    """Refuse shafts with no room, or that stand on end."""
    for number, (a, b) in enumerate(pairwise(centers_of(configuration)), 1):
        x, y, z = b - a
        if x < SHORTEST:
            said = f": shaft {number} is left {shown(setup, x)} fore and aft, from joint to joint; "
            before = ("bearing", str(number - 1), "to_joint") if number > 1 else ("pinion", "aft")
            least = f"at least {shown(setup, SHORTEST)}"
            yield before, f"{said}{least}{asked(setup, configuration)}"
            return
        steep = math.degrees(math.atan2(math.hypot(y, z), x))
        if steep > STEEPEST_SHAFT:
            said = f" would stand {steep:.0f} deg steep at ride height; heights and stations of "
            hint = asked(setup, configuration)
            yield ("shaft", str(number)), f"{said}its ends disagree{hint}"


def _lengths(setup: Setup, configuration: Configuration) -> Found:
    """Refuse a shaft length that the places of its ends do not give."""
    for number, placed in lengths_off(configuration):
        length = setup.shaft[number].length
        assert length is not None
        unit, digits = length.unit, 1 if length.unit == "mm" else 3
        found = f"{placed / units.factor(units.LENGTH, unit):.{digits}f} {unit}"
        said = f" is {length.text}, but the places of its ends are {found} apart"
        hint = "" if length.spread else f"; within {shown(setup, LENGTH_SPREAD)}, or say ±"
        far = abs(placed - length.value) > SLIPS * (length.spread or LENGTH_SPREAD)
        meant = asked(setup, configuration) if far else ""
        yield ("shaft", number, "length"), said + hint + meant


def _leaf(setup: Setup, leaf: LeafKeys) -> Found:
    """Refuse springs and shackles that cannot be put together."""
    if leaf.spring_load is None and setup.vehicle.axle_load is None:
        said = ": spring_load is missing, and so is vehicle.axle_load, from which it could be taken"
        yield ("suspension",), said
    (eye_x, _, eye_z), (pivot_x, _, pivot_z) = leaf.front_eye.position, leaf.shackle_pivot.position
    bolt_x = setup.axle.position[0]
    bolt_z = setup.axle.position[2] + leaf.signed("seat_above_axle")
    front = math.hypot(bolt_x - eye_x, bolt_z - eye_z)
    half = leaf.front_half
    if eye_x >= bolt_x:
        yield ("suspension", "front_eye", "aft"), " puts the front eye behind the axle"
    elif not 0.8 * half.value <= front <= 1.03 * half.value:
        only = "only " if front < half.value else ""
        said = f" is {half.text}, but front eye and center bolt are {only}"
        yield ("suspension", "front_half"), f"{said}{shown(setup, front)} apart"
    rear = math.hypot(pivot_x - bolt_x, pivot_z - bolt_z)
    low = abs(leaf.rear_half.value - leaf.shackle.value)
    high = leaf.rear_half.value + leaf.shackle.value
    if not low * 0.97 <= rear <= high * 1.03:
        said = f" cannot reach: center bolt and shackle pivot are {shown(setup, rear)} apart, "
        spans = f"spring and shackle span {shown(setup, low)} to {shown(setup, high)}"
        yield ("suspension", "shackle"), said + spans


def _links(setup: Setup, links: LinksKeys) -> Found:
    """Refuse a link without length."""
    for which in ("lower", "upper"):
        (ax, _, az), (bx, _, bz) = (
            links.values[f"{which}_{where}"].position for where in ("frame", "axle")
        )
        length = math.hypot(bx - ax, bz - az)
        if length < SHORTEST_LINK:
            said = f" is {shown(setup, length)} from {which}_frame; at least "
            yield ("suspension", f"{which}_axle"), said + shown(setup, SHORTEST_LINK)


def _measured(setup: Setup, measured: MeasuredKeys, travel: TravelKeys) -> Found:
    """Refuse readings that move the wrong way, coincide, or lie far out of the travel."""
    seen: dict[float, str] = {0.0: "ride height"}
    for number, reading in measured.reading.items():
        path = ("suspension", "reading", number)
        moved = reading.signed("bump")
        rise = reading.position[2] - setup.pinion.position[2]
        if rise * moved < 0 or abs(rise) > 2 * abs(moved):
            there = f"{shown(setup, abs(rise))} {'higher' if rise > 0 else 'lower'}"
            axle = f"{shown(setup, abs(moved))} {'up' if moved > 0 else 'down'}"
            yield path, f": the pinion joint is {there} than at ride height, with the axle {axle}"
        twin = seen.setdefault(round(moved, 6), f"reading {number}")
        if twin != f"reading {number}":
            yield path, f": its height is that of {twin} already"
    lowest, highest = min(seen), max(seen)
    for key, end in (("bump", highest), ("droop", -lowest)):
        limit = travel.values[key]
        if limit.value > end + 1e-6:
            said = f" is {limit.text}, but the readings end at {shown(setup, end)}; "
            yield ("travel", key), said + "jack the axle that far"

"""Cross checks of places and lengths, on the configuration built from a set-up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import assert_never

import numpy as np

from sim import units
from sim.scene.design import Configuration
from sim.scene.misread import asked
from sim.scene.state_checks import shown
from sim.scene.tables.bearing import joint_centers
from sim.scene.tables.frame_mounted import FrameMountedKeys
from sim.scene.tables.leaf import LeafKeys
from sim.scene.tables.links import LinksKeys
from sim.scene.tables.measured import MeasuredKeys
from sim.scene.tables.setup import Setup
from sim.scene.tables.travel import TravelKeys
from sim.scene.text import Found
from sim.scene.values import Vector

SHORTEST_SHAFT = 0.1  # [m], joint to joint
SHORTEST_LINK = 0.05  # [m], side view
STEEPEST_SHAFT = 45.0  # [deg]
LENGTH_SPREAD = 0.003  # [m], of a length without ±; common practice, no source


def check_geometry(setup: Setup, configuration: Configuration) -> Found:
    """Yield every contradiction of places and lengths, by the path of the key to mend."""
    c = configuration
    centers = joint_centers(c.output.point, c.bearings, c.pinion.point)
    yield from _shafts(setup, c, centers)
    if c.cut_as is None:
        yield from _lengths(setup, centers)
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


def _shafts(setup: Setup, configuration: Configuration, centers: Sequence[Vector]) -> Found:
    """Refuse shafts with no room, or that stand on end."""
    for number, (a, b) in enumerate(pairwise(centers), 1):
        x, y, z = b - a
        if x < SHORTEST_SHAFT:
            said = f": shaft {number} is left {shown(setup, x)} fore and aft, from joint to joint; "
            before = ("bearing", str(number - 1), "to_joint") if number > 1 else ("pinion", "aft")
            least = f"at least {shown(setup, SHORTEST_SHAFT)}"
            yield before, f"{said}{least}{_meant(setup, configuration)}"
            return
        steep = math.degrees(math.atan2(math.hypot(y, z), x))
        if steep > STEEPEST_SHAFT:
            said = f" would stand {steep:.0f} deg steep at ride height; heights and stations of "
            hint = _meant(setup, configuration)
            yield ("shaft", str(number)), f"{said}its ends disagree{hint}"


def _meant(setup: Setup, configuration: Configuration) -> str:
    """Return which reading may be misread, and what it would be, or ""."""
    meant = asked(setup, configuration)
    return f"; {meant}" if meant else ""


def _lengths(setup: Setup, centers: Sequence[Vector]) -> Found:
    """Refuse a shaft length that the places of its ends do not give."""
    for number, shaft in setup.shaft.items():
        if shaft.length is None:
            continue
        index = int(number)
        placed = float(np.linalg.norm(centers[index] - centers[index - 1]))
        spread = shaft.length.spread or LENGTH_SPREAD
        if abs(placed - shaft.length.value) > spread:
            unit = shaft.length.unit
            found = f"{placed / units.factor(units.LENGTH, unit):.{1 if unit == 'mm' else 3}f}"
            said = f" is {shaft.length.text}, but the places of its ends are {found} {unit} apart"
            hint = (
                "" if shaft.length.spread else f"; within {shown(setup, LENGTH_SPREAD)}, or say ±"
            )
            yield ("shaft", number, "length"), said + hint


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
        said = (
            f" is {half.text}, but front eye and center bolt are {only}{shown(setup, front)} apart"
        )
        yield ("suspension", "front_half"), said
    rear = math.hypot(pivot_x - bolt_x, pivot_z - bolt_z)
    low = abs(leaf.rear_half.value - leaf.shackle.value)
    high = leaf.rear_half.value + leaf.shackle.value
    if not low * 0.97 <= rear <= high * 1.03:
        said = f" cannot reach: center bolt and shackle pivot are {shown(setup, rear)} apart, "
        yield (
            ("suspension", "shackle"),
            said + f"spring and shackle span {shown(setup, low)} to {shown(setup, high)}",
        )


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

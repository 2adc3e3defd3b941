"""What can be computed but is likely not meant.  Doubts stop nothing and stand in every report."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np

from sim import units
from sim.display import DisplayName
from sim.scene.as_read import quantities
from sim.scene.design import Configuration
from sim.scene.misread import bends_of, centers_of, is_plain, misread, slips, unusual
from sim.scene.quantity import in_display, parse
from sim.scene.state_checks import shown
from sim.scene.tables.ends import to_frame
from sim.scene.tables.joint import kind_of_joint
from sim.scene.tables.leaf import LeafSprings
from sim.scene.tables.limits import LimitsKeys
from sim.scene.tables.links import Links
from sim.scene.tables.setup import Setup
from sim.scene.text import Found, Path
from sim.scene.values import OPPOSITES, Values

LEAST_ENGAGED = 0.025  # [m]; below it, whatever the shop wants is doubted
STEEPER = 2.5  # by which a second stage or a soft first one may be off the rate; common practice
ROOM = 0.1  # of the load at ride height, for readings of loads and travel; common practice
CARRIED = (0.35, 1.0)  # of the axle load, by both springs; common practice, no source
# [m], last joint off the axle up or down, a shaft, a link, its end off the axle; common practice
OFF_AXLE, SHAFT, LINK, LINK_OFF = 0.25, 2.5, 1.5, 0.4
# [deg], slopes of output and pinion apart; the last two bends apart; the first; common practice
APART, EVEN, STRAIGHT = 5.0, 1.0, 3.0
BENDS_TO = 30.0  # [deg], a universal joint; common practice, no source
# [m], how far shafts can meet something ahead of the output, behind the axle, above the highest
# joint, outside the middle of a tire, and aside without a track; common practice, no source
AHEAD, BEHIND, ABOVE, BESIDE, ASIDE = 1.5, 2.0, 0.6, 0.3, 1.3


def implausible(setup: Setup, configuration: Configuration) -> Found:
    """Yield readings that contradict each other, or what comparable vehicles have."""
    yield from _tire(setup)
    yield from _engine(setup, configuration)
    yield from _capacity(setup, configuration)
    yield from _loads(setup, configuration)
    yield from _obstacles(setup, configuration)
    places = [*_ground(setup, configuration), *misread(setup, configuration)]
    # what says more comes first
    yield from places or (*_ends(configuration), *_far(setup, configuration))
    yield from unusual(setup)


def _tire(setup: Setup) -> Found:
    """Doubt a tire that rolls much more or less than its radius says."""
    rolled, radius = setup.vehicle.tire_circumference, setup.vehicle.tire_radius
    if rolled is not None and not 0.98 <= rolled.value / (2 * math.pi * radius.value) <= 1.09:
        said = f" is {rolled.text}; a tire with {radius.text} under the axle rolls about "
        yield ("vehicle", "tire_circumference"), said + shown(setup, 6.44 * radius.value)


def _engine(setup: Setup, configuration: Configuration) -> Found:
    """Doubt gears that do not go with the speeds."""
    plate, v = setup.vehicle, configuration.vehicle
    engine = v.top_speed / v.tire_circumference * v.axle_ratio * v.top_gear * 2 * math.pi
    if v.engine_cut_off is not None and engine > 1.1 * v.engine_cut_off:
        turns, limit = (units.say(units.SHAFT_SPEED, n, "rpm") for n in (engine, v.engine_cut_off))
        said = f" is {plate.top_speed.text}: the engine would turn {turns} rpm in top gear, cut off"
        hint = f" at {limit} rpm; look at top_gear, axle_ratio and the tire"
        yield ("vehicle", "top_speed"), said + hint
    if plate.first_gear is not None and plate.top_gear.value > plate.first_gear.value:
        said = f" is {plate.top_gear.text}, first_gear {plate.first_gear.text}; "
        yield ("vehicle", "top_gear"), said + "first gear is the larger number"


def _ground(setup: Setup, configuration: Configuration) -> Found:
    """Doubt a ground above the shafts."""
    c = configuration
    ground = c.axle[2] - c.vehicle.tire_radius
    lowest = min(float(center[2]) for center in centers_of(c))
    if lowest < ground:
        said = f" and tire_radius put the ground {shown(setup, ground - lowest)} above the lowest "
        yield ("axle", "up"), said + "joint; look at the datum"


def _ends(configuration: Configuration) -> Found:
    """Doubt an output and a pinion that point apart where the joints do not share it evenly."""
    c, bends, design = configuration, bends_of(configuration), configuration.design
    assert design is not None
    even = abs(bends[-1] - bends[-2]) < EVEN and not (c.bearings and bends[0] > STRAIGHT)
    values = Values(design.values)  # a wedge stands apart from the slope that was read
    ahead, behind = (to_frame(values, design.structure, end)[0] for end in ("output", "pinion"))
    if is_plain(c) and not even and abs(math.degrees(behind - ahead)) > APART:
        pinion, output = (design.readings[f"{end}.slope"].text for end in ("pinion", "output"))
        said = f" is {pinion}, output.slope {output}; so the joints would bend "
        angles = ", ".join(f"{bend:.1f}" for bend in bends)
        yield ("pinion", "slope"), f"{said}{angles} deg at ride height: read both again"


def _far(setup: Setup, configuration: Configuration) -> Found:
    """Doubt places farther from each other than those of any driveline."""
    c, links = configuration, configuration.suspension
    over = float(c.pinion.point[2] - c.axle[2])
    at = f"puts the last joint {{}} {'above' if over > 0 else 'below'} the axle center"
    far: list[tuple[Path, str, Any, float]] = [(("pinion", "up"), at, over, OFF_AXLE)]
    for number, (a, b) in enumerate(pairwise(centers_of(c)), 1):
        far.append((("shaft", str(number)), "is {} long from joint to joint", b - a, SHAFT))
    for which in ("lower", "upper") if isinstance(links, Links) else ():
        front, rear = (getattr(links, f"{which}_{end}") for end in ("frame", "axle"))
        here = ("suspension", f"{which}_axle")
        far.append((here, "is {} from the other end of its link", rear - front, LINK))
        far.append((here, "is {} from the axle center", rear - c.axle, LINK_OFF))
    for path, words, apart, most in far:
        if (length := float(np.linalg.norm(apart))) > most:
            said = f" {words.format(shown(setup, length))}; usual is "
            yield path, f"{said}{shown(setup, most)} at most"


def _capacity(setup: Setup, configuration: Configuration) -> Found:
    """Doubt an axle that carries more than it may."""
    allowed, travel = setup.vehicle.axle_capacity, configuration.travel
    loads = (
        configuration.vehicle.axle_load,
        *(h.axle_load for h in (travel.heights if travel else ())),
    )
    most = max((load for load in loads if load is not None), default=0.0)
    if allowed is not None and most > allowed.value:
        carried = units.say(units.LOAD, most, allowed.unit)
        yield (
            ("vehicle", "axle_capacity"),
            f" is {allowed.text}; {carried} {allowed.unit} rest on it",
        )


def _loads(setup: Setup, configuration: Configuration) -> Found:
    """Doubt a weighed load far from what travel and rate of the springs say."""
    springs, travel = configuration.suspension, configuration.travel
    at_ride = configuration.vehicle.axle_load
    if not isinstance(springs, LeafSprings) or travel is None or at_ride is None:
        return
    share = 2 * springs.load / at_ride
    if not CARRIED[0] <= share <= CARRIED[1]:
        said = f" is {configuration.readings['suspension.spring_load'].text}; two springs would "
        yield ("suspension", "spring_load"), f"{said}carry {share:.0%} of vehicle.axle_load"
    for height in travel.heights:
        weighed = setup.height[height.name].axle_load
        more = springs.rate * (height.left + height.right)
        low, high = sorted((more / STEEPER, more * STEEPER))
        low, high = low - ROOM * at_ride, high + ROOM * at_ride
        if weighed and not low <= weighed.value - at_ride <= high:
            about = units.say(units.LOAD, at_ride + more, weighed.unit)
            said = f" is {weighed.text}; by vehicle.axle_load, its travel and suspension.rate it "
            would = f"would be about {about} {weighed.unit}"
            yield ("height", height.name, "axle_load"), said + would


def _obstacles(setup: Setup, configuration: Configuration) -> Found:
    """Doubt corners of obstacles where no shaft can meet them."""
    spans = _met(setup, configuration)
    for path, quantity, limits, _ in quantities(setup):
        low, high = spans.get(path[-1], (0.0, 0.0))
        if path[0] != "obstacle" or path[-1] not in spans or low <= quantity.value <= high:
            continue
        other = setup.obstacle[path[1]].values["to" if path[2] == "from" else "from"]
        beside, fits = other.signed(path[-1]), slips(quantity, limits)
        meant = [(abs(q.value - beside), text) for text, q in fits if low <= q.value <= high]
        way = path[-1] if high > 0 else OPPOSITES[path[-1]]
        least, most = (shown(setup, max(end, 0.0)) for end in spans[way])
        hint = f"; is it {min(meant)[1]}?" if meant else ""
        yield path, f" is {quantity.text}; what shafts can meet is {least} to {most} {way}{hint}"


def _met(setup: Setup, configuration: Configuration) -> dict[str, tuple[float, float]]:
    """Return from where to where shafts can meet something [m], by the keys of a place."""
    c, track = configuration, setup.axle.track
    heights = [float(center[2]) for center in centers_of(c)]
    wide = ASIDE if track is None else track.value / 2 + BESIDE
    ground = c.axle[2] - c.vehicle.tire_radius
    spans = {
        "aft": (c.output.point[0] - AHEAD, c.axle[0] + BEHIND),
        "right": (-wide, wide),
        "up": (ground if ground <= min(heights) else -math.inf, max(heights) + ABOVE),
    }
    spans = {key: (round(low, 9), round(high, 9)) for key, (low, high) in spans.items()}
    return spans | {OPPOSITES[key]: (-high, -low) for key, (low, high) in spans.items()}


def lowered(setup: Setup, display: DisplayName) -> Found:
    """Yield limits made weaker than the usual ones: allowed, never silent."""
    said = "; the usual limit is {}, and every report will say that it was lowered"

    def weaker_than(usual: str) -> str:
        return said.format(in_display(units.LENGTH, usual, display))

    limits = setup.limits
    for key in ("gap", "clearance"):
        usual, here = LimitsKeys.declared()[key].left_out, limits.values[key]
        if here.value < parse(units.LENGTH, usual).value:
            yield ("limits", key), f" is {here.text}" + weaker_than(usual)
    for name, obstacle in setup.obstacle.items():
        least = obstacle.least_clearance
        if least is not None and least.value < limits.clearance.value:
            path = ("obstacle", name, "least_clearance")
            yield path, f" is {least.text}" + said.format(limits.clearance.text)
    engaged = setup.spline.least_engaged
    if engaged.value < LEAST_ENGAGED:
        yield ("spline", "least_engaged"), f" is {engaged.text}" + weaker_than("50 mm")
    usual_share = LimitsKeys.safe_share.left_out
    if limits.safe_share.value > parse(units.SHARE, usual_share).value:
        weaker = f" is {limits.safe_share.text}; the usual limit is {usual_share}, and every report"
        yield ("limits", "safe_share"), weaker + " will say that it was raised"
    for number, joint in setup.joint.items():
        binds = joint.largest_angle
        most = math.radians(BENDS_TO) if kind_of_joint(joint.kind).crosses == 1 else math.inf
        if binds is not None and binds.value > most:
            path = ("joint", number, "largest_angle")
            yield path, f" is {binds.text}; a universal joint binds at about {BENDS_TO:.0f} deg"

"""Numbers made up for tests of the advice: calm everywhere, then one value out in one state.

``calm`` breaks no rule of any set.  ``SET`` says for every quantity on which vehicle it is looked
at, which part it is, and how one of its values is put there.  It shares no code with ``sim.judge``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import samples

from sim.measure.numbers import Deep, Numbers
from sim.motion.states import SITUATIONS, State
from sim.scene.parts import Configuration, Obstacle, Reading

DEG, RPM, KMH, MM = np.pi / 180, 2 * np.pi / 60, 1 / 3.6, 1e-3
TORQUES = {"cruise": 500.0, "overrun": -900.0, "pull-away": 3000.0, "hard launch": 6000.0}
TORQUES["extreme"] = 6000.0
HEIGHTS = {"loaded": (0.045, "loaded"), "travel": (-0.11, "full droop")}
HEIGHTS |= {"extreme": (0.095, "full bump"), "parked": (0.09, "parked low")}


def states() -> tuple[State, ...]:
    """Return one state of every situation, in the order of ``SITUATIONS``."""
    found = []
    for situation in SITUATIONS:
        travel, height = HEIGHTS.get(situation, (0.0, "ride height"))
        torque = TORQUES.get(situation, 0.0)
        case = "hard launch" if situation == "extreme" else situation
        found.append(
            State(
                height=height,
                case=case if torque else "no torque",
                travel=travel,
                roll=0.0,
                wheel_torque=torque,
                shaft_torque=torque / 4.1,
                turning=situation != "parked",
                road_speed=0.0 if situation == "parked" else 20.0,
                situation=situation,
            )
        )
    return tuple(found)


def number_of(situation: str) -> int:
    """Return the index of the state of a situation."""
    return SITUATIONS.index(situation)


def vehicle(*kinds: str, **changes: object) -> Configuration:
    """Return a truck whose joints are of these kinds, one shaft fewer than joints."""
    made = {2: samples.one_piece, 3: samples.two_piece, 4: samples.three_piece}[len(kinds)]()
    shafts = tuple(replace(shaft, phase=0.0) for shaft in made.shafts)
    joints = tuple(samples.joint(kind) for kind in kinds)
    return replace(made, joints=joints, shafts=shafts, **changes)


U, CV, DOUBLE, FLEX = "universal", "constant velocity", "double cardan", "flexible"
THING = Obstacle(
    name="thing",
    start=np.zeros(3),
    end=np.ones(3),
    pipe=None,
    moves=0.0,
    rides_on="frame",
    kind="fixed part",
    least_clearance=None,
)


def calm(configuration: Configuration, seen: tuple[State, ...] | None = None) -> Numbers:
    """Return numbers of one design that break no rule of any set."""
    seen = states() if seen is None else seen
    s, j = len(seen), len(configuration.joints)
    shafts = j - 1
    angle = np.full((1, s, j), 2.0 * DEG)
    if j % 2:
        angle[..., 0] = 0.5 * DEG
    if {j.kind for j in configuration.joints} & {CV, DOUBLE, FLEX}:
        angle[...] = [1.0 * DEG for _ in configuration.joints]
    torque = np.array([[state.shaft_torque for state in seen]])
    fast = 1e5 * RPM
    pairs = (("shaft 1", "thing", True), ("joint 1", "thing", False), ("shaft 1", "ground", True))
    return Numbers(
        configuration=configuration,
        states=seen,
        lost=np.zeros((1, s), bool),
        slope=np.zeros((1, s, j + 1)),
        joint_angle=angle,
        slip=np.zeros((1, s)),
        gap=np.full((1, s), 0.04),
        engaged=np.full((1, s), 0.08),
        wrap=np.zeros((1, s)),
        fluctuation=np.zeros((1, s, j)),
        residual_angle=np.zeros((1, s)),
        torsional=np.zeros((1, s)),
        inertial_drive=np.zeros((1, s, shafts)),
        inertial_coast=np.zeros((1, s, shafts)),
        in_line=np.zeros((1, s, shafts)),
        matched_phase=np.full((1, s, shafts), 45.0 * DEG),
        shaft_speed=np.full((1, s), 1000.0 * RPM),
        road_speed=np.array([[state.road_speed for state in seen]]),
        shaft_torque=torque,
        wheel_torque=torque * 4.1,
        travel=np.array([[state.travel for state in seen]]),
        length=np.ones((1, s, shafts)),
        critical_speed=np.full((1, shafts), fast),
        deep=Deep(
            beam_speed=np.full((1, shafts), fast),
            bearing_mode=np.full((1, shafts - 1), np.inf),
            bounce_speed=np.full((1, s, shafts - 1), 4.0),
            bounce_force=np.zeros((1, s, shafts - 1)),
            bounce_swing=np.zeros((1, s, shafts - 1)),
            half_critical_force=np.full((1, 3, shafts, shafts + 1), 100.0),
            yield_torque=np.full((1, shafts), 1e9),
            life=np.full((1, j), np.inf),
            life_distance=np.full((1, j), np.inf),
            pairs=pairs if configuration.obstacles else pairs[2:],
            clearance=np.full((1, s, 3 if configuration.obstacles else 1), 0.3),
        ),
    )


def put(numbers: Numbers, name: str, at: tuple[object, ...], value: float) -> Numbers:
    """Return numbers with one value changed; ``name`` may lead into ``deep``."""
    head, _, tail = name.partition(".")
    holder = numbers.deep if tail else numbers
    array = getattr(holder, tail or head).copy()
    array[(0, *at)] = value
    if tail:
        return replace(numbers, deep=replace(numbers.deep, **{tail: array}))
    return replace(numbers, **{head: array})


Setter = Callable[[Numbers, float, int], Numbers]


@dataclass(frozen=True, kw_only=True)
class Setting:
    """How one quantity is put out of its limit.

    Attributes:
        kinds: Kinds of the joints of the vehicle.
        where: The part that the finding must name.
        put: Takes numbers, a value in the rule's unit and the state, gives numbers.
        changes: Of the configuration.
        own: The part's own limit in the rule's unit, where it brings one along.
    """

    kinds: tuple[str, ...] = (U, U)
    where: str
    put: Setter
    changes: dict[str, object]
    own: float | None = None


def field(
    where: str, name: str, at: tuple[object, ...], unit: float, *kinds: str, **more
) -> Setting:
    """Return a setting that writes one number of one state; ``...`` in ``at`` is the state."""

    def write(n: Numbers, value: float, state: int) -> Numbers:
        place = tuple(state if index is ... else index for index in at)
        return put(n, name, place, value * unit)

    own = more.pop("own", None)
    return Setting(kinds=kinds or (U, U), where=where, put=write, changes=more, own=own)


def angle(joint: int, *kinds: str, **more) -> Setting:
    """Return a setting of one joint angle [deg]."""
    return field(f"joint {joint}", "joint_angle", (..., joint - 1), DEG, *kinds, **more)


def difference(first: int, *kinds: str) -> Setting:
    """Return a setting of the difference of two joints [deg]; the front one is moved."""

    def write(n: Numbers, value: float, state: int) -> Numbers:
        behind = float(n.joint_angle[0, state, first])
        return put(n, "joint_angle", (state, first - 1), behind + value * DEG)

    return Setting(kinds=kinds, where=f"joints {first} and {first + 1}", put=write, changes={})


def turned(n: Numbers, value: float, state: int) -> Numbers:
    """Put the yokes of the first shaft out of line [deg]; in line the pinion would turn evenly."""
    first, *others = n.configuration.shafts
    shafts = (replace(first, phase=value * DEG), *others)
    n = replace(n, configuration=replace(n.configuration, shafts=shafts))
    return put(n, "fluctuation", (0, -1), 0.002)


def skewed(n: Numbers, value: float, state: int) -> Numbers:
    """Put the first bracket askew [deg]."""
    first, *others = n.configuration.bearings
    bearings = (replace(first, skew=-value * DEG), *others)
    return replace(n, configuration=replace(n.configuration, bearings=bearings))


def whirling(name: str) -> Setter:
    """Return what lets a shaft whirl so that its usable road speed is a value [km/h]."""

    def write(n: Numbers, value: float, state: int) -> Numbers:
        v = n.configuration.vehicle
        turns = value * KMH / v.tire_circumference * v.axle_ratio  # a second
        return put(n, name, (0,), turns * 2 * np.pi / n.configuration.limits.safe_share)

    return write


def things(kind: str = "fixed part", least: float | None = None) -> dict[str, object]:
    """Return a thing beside the shafts, with a least clearance of its own [mm]."""
    own = None if least is None else least * MM
    return {"obstacles": (replace(THING, kind=kind, least_clearance=own),)}


def rated(torque: float, *kinds: str) -> dict[str, object]:
    """Return joints whose sheet says what they carry [N m]."""
    return {"joints": tuple(replace(samples.joint(kind), rated_torque=torque) for kind in kinds)}


def measured(path: str) -> dict[str, object]:
    """Return readings in which one path was written in the scene."""
    reading = Reading(path=path, value=0.0, spread=0.0, text="", status="measured", line=1)
    return {"readings": {path: reading}}


def plunging() -> dict[str, object]:
    """Return joints of which the last one slides in place of a spline."""
    last = replace(samples.joint(CV), plunge=0.08, plunge_in=0.04)
    return {"joints": (samples.joint(U), last)}


def turning(name: str, order: int) -> Setter:
    """Return what gives a mode a frequency that an order of the shafts meets at a speed [km/h]."""

    def write(n: Numbers, value: float, state: int) -> Numbers:
        v = n.configuration.vehicle
        turns = value * KMH / v.tire_circumference * v.axle_ratio  # a second
        return put(n, name, (0,), order * turns * 2 * np.pi)

    return write


BESIDE, ASSUMED = "shaft 1 to thing", "joint 1 to thing"
NEAR = ("deep.clearance", (..., 0), MM, U, U)
TOP = 155.0  # [km/h], of the sample truck
SET: dict[str, Setting] = {
    "gap": field("spline", "gap", (...,), MM),
    "engaged": field("spline", "engaged", (...,), MM),
    "engaged against its least": field("spline", "engaged", (...,), MM, own=45.0),
    "plunge left": field("joint 2, inward", "gap", (...,), MM, U, CV, **plunging()),
    "clearance of known sizes": field(BESIDE, *NEAR, **things()),
    "clearance of known sizes to lines": field(BESIDE, *NEAR, **things("line")),
    "clearance of assumed sizes": field(ASSUMED, NEAR[0], (..., 1), MM, **things()),
    "clearance": field(BESIDE, *NEAR, **things()),
    "clearance to fixed parts": field(BESIDE, *NEAR, **things()),
    "clearance to lines": field(BESIDE, *NEAR, **things("line")),
    "clearance to the exhaust": field(BESIDE, *NEAR, **things("exhaust")),
    "height over ground of known sizes": field("shaft 1 to ground", *NEAR),
    "height over ground": field(
        "shaft 1 to ground",
        *NEAR,
        own=200.0,
        limits=replace(samples.LIMITS, ground=0.2),
    ),
    "universal joints": angle(2, U, U, U),
    "odd front joint": angle(1, U, U, U),
    "coupling joints": angle(2, U, U, U, U),
    "paired joints": angle(3, U, U, U),
    "last two joints": angle(3, U, U, U),
    "constant velocity joints": angle(1, CV, U),
    "lone universal joint": angle(2, DOUBLE, U),
    "flexible coupling at the output": angle(1, FLEX, U, U),
    "pair differences": difference(1, U, U, U, U),
    "last pair difference": difference(2, U, U, U),
    "slope difference": field("driveline", "slope", (..., -1), DEG),
    "residual angle": field("pinion", "residual_angle", (...,), DEG),
    "universal joints without a limit of their own": angle(1, U, U),
    "universal joints at their limit": angle(1, U, U, own=20.0),
    "constant velocity joints at their limit": angle(1, CV, U, own=18.0),
    "flexible couplings at their limit": angle(1, FLEX, U, U, own=3.0),
    "angle at speed": angle(1, U, U, own=11.5),
    "fluctuation of the pinion": field("pinion", "fluctuation", (..., -1), 0.01),
    "torsional acceleration": field("pinion", "torsional", (...,), 1.0),
    "torsional acceleration of one shaft": field("pinion", "torsional", (...,), 1.0),
    "inertial acceleration under drive": field("shaft 2", "inertial_drive", (..., 1), 1.0, U, U, U),
    "inertial acceleration on the overrun": field(
        "shaft 2", "inertial_coast", (..., 1), 1.0, U, U, U
    ),
    "joint torque": field(
        "joint 1", "shaft_torque", (...,), 1.0, own=2000.0, **rated(2000.0, U, U)
    ),
    "whirl limit": Setting(where="shaft 1", put=whirling("critical_speed"), changes={}, own=TOP),
    "whirl limit, beam": Setting(
        where="shaft 1", put=whirling("deep.beam_speed"), changes={}, own=TOP
    ),
    "bearing swing met twice a turn": field(
        "bearing 1", "deep.bounce_swing", (..., 0), MM, U, U, U
    ),
    "half critical": Setting(
        where="shaft 1", put=turning("deep.beam_speed", 2), changes={}, own=TOP / 0.9
    ),
    "bearing met once a turn": Setting(
        kinds=(U, U, U), where="bearing 1", put=turning("deep.bearing_mode", 1), changes={}
    ),
    "phase": Setting(where="shaft 1", put=turned, changes={}),
    "bracket skew": Setting(kinds=(U, U, U), where="bearing 1", put=skewed, changes={}),
}


def base_of(quantity: str) -> Numbers:
    """Return calm numbers of the vehicle on which a quantity is looked at."""
    setting = SET[quantity]
    made = vehicle(*setting.kinds)
    if setting.changes:
        made = replace(made, **setting.changes)
    return calm(made)


def put_out(quantity: str, value: float, situation: str = "ride height", n: Numbers | None = None):
    """Return numbers in which one quantity has a value in one situation, calm elsewhere."""
    return SET[quantity].put(base_of(quantity) if n is None else n, value, number_of(situation))

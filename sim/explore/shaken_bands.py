"""What a picture of shake shows: a curve as read and the band of its draws, place by place.

Gearbox and axle are held rigidly or hang on springs, and the truth lies between.  So the curve is
that of whichever gives more, and the band goes from the lower 5 % of both to the higher 95 %.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi

import numpy as np

from sim.arrays import Array, Index
from sim.explore.felt_near import pulled_away_at
from sim.explore.shaken import DRAWS, Course, Shake, shake_of
from sim.measure.shake.swept import swept_amplification
from sim.measure.shake.unknown import UNKNOWNS
from sim.motion.sweep import RIDE_HEIGHT
from sim.scene.parts import Configuration

SHARES = (0.05, 0.95)
# What the vehicle weighs, in loads on its driven axle: common practice, no source.
AXLES = 2.0
GRAVITY = 9.80665  # [m/s²], standard: CGPM 1901
RUBBER_LOSS = next(one.usual for one in UNKNOWNS if one.name == "rubber loss")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Curve:
    """A number over road speed, or one number: as read, and 5 and 95 % of its draws."""

    read: Array
    low: Array
    high: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaunchShudder:
    """The largest force twice per turn as the vehicle is launched hard, 5 to 50 km/h.

    Attributes:
        height: Name of the height.
        bearing: Number of the bearing that is shaken most, from 0; None where there is none.
        force: Into its bracket [N]; None where there is none.
        speed: Road speed there [m/s]; likewise.
        swing: Of the bearing in its rubber [m]; likewise.
        pinion: Largest force at the pinion [N].
    """

    height: str
    bearing: int | None
    force: Curve | None
    speed: Curve | None
    swing: Curve | None
    pinion: Curve


def shake_drawn(configuration: Configuration, speeds: Array, draws: int = DRAWS) -> Shake:
    """Return what pictures show that a configuration hands on.

    At a cruise at ride height, at every hard launch, and pulling away where a complaint is about
    that.

    Args:
        configuration: As it was read.
        speeds: Road speeds to look at [m/s], (V,).
        draws: How many draws there are beside the one as read.

    Raises:
        GeometryError: If the parts cannot reach a state as read.
    """
    cruise = shake_of(configuration, speeds, (RIDE_HEIGHT.name,), ("cruise",), draws)
    launch = shake_of(configuration, speeds, None, ("hard launch",), draws)
    courses = (*cruise.courses, *launch.courses)
    if heights := pulled_away_at(configuration):
        away = shake_of(configuration, speeds, heights, ("pull-away",), draws)
        courses += away.courses
    return replace(cruise, courses=courses)


def band_of(drawn: Array) -> Curve:
    """Return the band of draws (2 ends, D, …), the first draw as read."""
    low, high = (
        np.quantile(drawn[:, 1:], SHARES, axis=1)
        if drawn.shape[1] > 1
        else drawn[:, [0, 0]].swapaxes(0, 1)
    )
    return Curve(read=drawn[:, 0].max(axis=0), low=low.min(axis=0), high=high.max(axis=0))


def place_band(course: Course, place: int) -> Curve:
    """Return the force at a place over road speed [N], (V,)."""
    return band_of(course.force[..., place])


def largest_band(course: Course, among: slice = slice(None)) -> tuple[Curve, Index]:
    """Return the force where it is largest over road speed [N], (V,), and at which place as read.

    Args:
        course: Forces at every place.
        among: Which places are looked at.
    """
    force = course.force[..., among]
    place = force[:, 0].max(axis=0).argmax(axis=-1)
    return band_of(force.max(axis=-1)), place + (among.start or 0)


def launch_shudders(shake: Shake) -> tuple[LaunchShudder, ...]:
    """Return the launch shudder at every height that is launched from."""
    return tuple(
        _launch_shudder(course)
        for course in shake.courses
        if course.state.situation == "hard launch"
    )


def _launch_shudder(course: Course) -> LaunchShudder:
    """Return the largest forces of one launch."""
    pinion = band_of(course.force[..., -1].max(axis=-1))
    force = course.force[..., 1:-1]
    if not force.shape[-1]:
        return LaunchShudder(
            height=course.state.height,
            bearing=None,
            force=None,
            speed=None,
            swing=None,
            pinion=pinion,
        )
    bearing = int(force[:, 0].max(axis=(0, 1)).argmax())
    there = force[..., bearing]
    worst = there[:, 0].max(axis=1).argmax()
    speed = course.speed[there.argmax(axis=-1)]
    found = band_of(speed)
    return LaunchShudder(
        height=course.state.height,
        bearing=bearing,
        force=band_of(there.max(axis=-1)),
        speed=Curve(read=speed[worst, 0], low=found.low, high=found.high),
        swing=band_of(course.given[..., bearing].max(axis=-1)),
        pinion=pinion,
    )


def on_the_stop(course: Course, bearing: int, free_travel: float) -> tuple[float, float] | None:
    """Return between which road speeds a bearing swings to its stop as read [m/s], or None.

    Args:
        course: With how far the bearings swing.
        bearing: Its number, from 0.
        free_travel: Of its rubber to the stop [m].
    """
    there = course.speed[course.given[:, 0, :, bearing].max(axis=0) > free_travel]
    return (float(there[0]), float(there[-1])) if len(there) else None


def swept_share(shake: Shake, launch: Course, bearing: int) -> float | None:
    """Return the share of its steady swing that a bearing reaches as a launch runs through it.

    Args:
        shake: Of the configuration.
        launch: Its course at a hard launch.
        bearing: Its number, from 0.

    Returns:
        The share [-]; None where the weight of the vehicle is not known.
    """
    vehicle, state = shake.configuration.vehicle, launch.state
    load = state.axle_load or vehicle.axle_load
    if load is None:
        return None
    radius = vehicle.tire_circumference / (2 * pi)
    gains = state.wheel_torque / radius / (AXLES * load / GRAVITY)  # [m/s²]
    rate = 4 * pi * vehicle.axle_ratio * gains / vehicle.tire_circumference
    own = float(shake.bounce[0, bearing])
    return float(swept_amplification(RUBBER_LOSS, own, rate)) * RUBBER_LOSS

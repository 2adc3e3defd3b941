"""What one configuration hands on near the road speed of a complaint, per order."""

from __future__ import annotations

from dataclasses import dataclass
from math import tau
from typing import Literal

import numpy as np

from sim.arrays import Array, Index, Marks
from sim.explore.shaken import (
    CRITICAL_SHARE,
    LAUNCH,
    STEP,
    Course,
    Order,
    Shake,
    shake_of,
    shake_states,
)
from sim.explore.shaken_draws import Draws, draws_of
from sim.measure.numbers import Numbers
from sim.measure.orders import shaft_rate, tire_rate
from sim.measure.whirl.crossings import road_speed
from sim.motion.states import Situation, State
from sim.motion.sweep import RIDE_HEIGHT
from sim.motion.torque import PULLED_AWAY
from sim.scene.parts import Complaint, Configuration
from sim.scene.tables.complaint import SPEEDOMETER

ORDERS: tuple[Order, ...] = (1, 2)
DRAWS = 64  # beside the one as read: bands are known to a tenth or two of themselves
BAND = SPEEDOMETER  # around a road speed [m/s]
# Of the road speed, and at least twice its band off: where a shake that swells there has faded.
BESIDE, FADED = (2 / 3, 4 / 3), 2 * BAND
STANDS_OUT = 1.5  # times what it is there, for a peak to be felt


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """A mode that an order meets near the road speed of a complaint."""

    kind: Literal["bounce", "tube"]
    number: int  # of the bearing, or of the shaft, from 1
    speed: float  # road speed as read [m/s]
    low: float  # 5 and 95 % of the draws
    high: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Near:
    """One order of one configuration near the road speed of a complaint; D draws.

    Attributes:
        configuration: Its name.
        places: Names of the places, from the front.
        order: Once or twice per turn.
        speed, frequency: Road speed [m/s], and how often it shakes there [Hz].
        state: In which it is looked at.
        force: Largest within the band at every place [N], ends rigid and on springs, (2, D, P).
        whole: Largest of all places together [N], (2, D).
        peaks: Whether the force at a place swells there and fades to both sides, (2, D, P).
        meetings: Modes that it meets there, the nearest first.
        beyond: Whether the road speed is too near a critical speed, or above it, for any amplitude;
            then there are no forces.
    """

    configuration: str
    places: tuple[str, ...]
    order: Order
    speed: float
    frequency: float
    state: State
    force: Array
    whole: Array
    peaks: Marks
    kept: Index  # numbers of the draws that its parts can reach, (D,)
    meetings: tuple[Meeting, ...] = ()
    beyond: bool = False

    @property
    def situation(self) -> Situation:
        """Under which torque it is looked at."""
        return self.state.situation


def near_of(
    configuration: Configuration,
    complaint: Complaint,
    draws: int = DRAWS,
    drawn: Draws | None = None,
) -> tuple[Near, ...]:
    """Return both orders near the road speed of a complaint.

    Args:
        configuration: As it was read.
        complaint: With a road speed, or with the frequency that was counted.
        draws: How many draws there are beside the one as read.
        drawn: The draws in ``shake_states``, where they are at hand.

    Returns:
        Of each order what it hands on there, in the height and under the torque that it is felt,
        or under either that it may be felt; of one without a road speed, each where it has the
        frequency.  Nothing where the scene has no such torque.

    Raises:
        GeometryError: If the parts cannot reach a state as read.
    """
    speeds: dict[Order, float] = {n: speed_of(configuration, complaint, n) for n in ORDERS}
    orders: dict[Situation, list[Order]] = {"cruise": [1]}
    for torque in _situations(complaint, speeds[2]):
        orders.setdefault(torque, []).append(2)
    looked = shake_of(
        configuration,
        # at a crawl there is always a force: so an order above its critical speed is not left out
        np.unique(np.concatenate([[STEP], *(_grid(speed) for speed in speeds.values())])),
        (height_of(configuration, complaint),),
        tuple(orders),
        draws,
        drawn,
        orders,
    )
    return tuple(
        _near(looked, course, speed)
        for course in looked.courses
        if (speed := speeds[course.order]) <= configuration.vehicle.top_speed
        and (_beyond(looked, course.order, speed) or _inside(course, speed).any())
    )


def nears_of(
    configuration: Configuration, near: Numbers | None = None
) -> dict[str, tuple[Near, ...]]:
    """Return both orders near the road speed of every complaint of a configuration, by its name.

    Args:
        configuration: As it was read.
        near: Its numbers over the whole sweep, where they are at hand.

    Raises:
        GeometryError: If the parts cannot reach a state as read.
    """
    drawn = draws_of(configuration, shake_states(configuration), DRAWS, near)
    return {one.name: near_of(configuration, one, drawn=drawn) for one in configuration.complaints}


def speed_of(configuration: Configuration, complaint: Complaint, order: float) -> float:
    """Return the road speed at which a complaint is felt [m/s]; else where an order has it."""
    if complaint.speed is not None:
        return complaint.speed
    assert complaint.frequency is not None, "a complaint names a speed or a frequency"
    return complaint.frequency / order / _turns_per_meter(configuration)


def height_of(configuration: Configuration, complaint: Complaint) -> str:
    """Return the name of the height that a complaint is felt at: loaded, or ride height."""
    own = () if configuration.travel is None else configuration.travel.heights
    loaded = [height.name for height in own if height.left == height.right and height.left > 0]
    return loaded[0] if complaint.load == "loaded" and loaded else RIDE_HEIGHT.name


def pulled_away_at(configuration: Configuration) -> tuple[str, ...]:
    """Return the names of the heights at which complaints are looked at pulling away."""
    return tuple(
        dict.fromkeys(
            height_of(configuration, one)
            for one in configuration.complaints
            if "pull-away" in _situations(one, speed_of(configuration, one, 2))
        )
    )


def _turns_per_meter(configuration: Configuration) -> float:
    """Return turns of the shafts per meter of road."""
    vehicle = configuration.vehicle
    return shaft_rate(tire_rate(1.0, vehicle.tire_circumference), vehicle.axle_ratio)


def _situations(complaint: Complaint, speed: float) -> tuple[Situation, ...]:
    """Return the torques under which joints are felt: pulling away as long as it may last.

    Where nobody looked, it may be felt in a cruise, or pulling away; what is felt under drive and
    on the overrun alike must be there under the torque of the overrun, the lesser of both.
    """
    if complaint.when == "coast":
        return ("overrun",)
    if complaint.when == "any":
        return ("cruise", "overrun")
    if speed > LAUNCH[1]:
        return ("cruise",)
    sure = complaint.when == "drive" and speed <= PULLED_AWAY
    return ("pull-away",) if sure else ("cruise", "pull-away")


def _grid(speed: float) -> Array:
    """Return road speeds closely around one, and where a shake that swells there fades [m/s]."""
    close = speed + np.linspace(-BAND, BAND, 21)
    return np.unique(np.concatenate([close, _beside(speed)]).clip(STEP))


def _beside(speed: float) -> Array:
    """Return a road speed below and one above, at which a shake that swells here has faded."""
    slower, faster = (share * speed for share in BESIDE)
    return np.array([max(min(slower, speed - FADED), STEP), max(faster, speed + FADED)])


def _near(looked: Shake, course: Course, speed: float) -> Near:
    """Return an order near a road speed."""
    order, configuration = course.order, looked.configuration
    inside, beyond = _inside(course, speed), _beyond(looked, order, speed)
    force, whole = (
        (each if beyond else each[:, :, inside]) for each in (course.force, course.whole)
    )
    return Near(
        configuration=configuration.name,
        places=looked.places,
        order=order,
        speed=speed,
        frequency=order * speed * _turns_per_meter(configuration),
        state=course.state,
        force=np.zeros_like(force[:, :, 0]) if beyond else force.max(axis=2),
        whole=np.zeros_like(whole[:, :, 0]) if beyond else whole.max(axis=2),
        peaks=_peaks(course, inside, speed),
        kept=looked.kept,
        meetings=_meetings(looked, order, speed),
        beyond=beyond,
    )


def _beyond(looked: Shake, order: Order, speed: float) -> bool:
    """Return whether an order has no amplitude at a road speed, see ``CRITICAL_SHARE``."""
    critical = road_speed(looked.configuration.vehicle, float(looked.tube_mode[0].min()))
    return order == 1 and speed > CRITICAL_SHARE * critical


def _inside(course: Course, speed: float) -> Marks:
    """Return which road speeds of a course are as good as the one that was read, (V,)."""
    return np.asarray(np.abs(course.speed - speed) <= BAND * 1.001)


def _peaks(course: Course, inside: Marks, speed: float) -> Marks:
    """Return where the force swells around a road speed and fades to both sides, (2, D, P)."""
    near = course.force[:, :, inside]
    if near.shape[2] < 3:
        return np.zeros((*near.shape[:2], near.shape[3]), bool)
    at = near.argmax(axis=2)
    amid = (at > 0) & (at < near.shape[2] - 1)
    slower, faster = (np.abs(course.speed - there).argmin() for there in _beside(speed))
    beside = course.force[:, :, [slower, faster]].max(axis=2)
    return np.asarray(amid & (near.max(axis=2) >= STANDS_OUT * beside))


def _meetings(looked: Shake, order: Order, speed: float) -> tuple[Meeting, ...]:
    """Return the modes that an order may meet near a road speed, the nearest first."""
    turns = _turns_per_meter(looked.configuration)
    found = []
    kinds: tuple[tuple[Literal["bounce", "tube"], Array], ...] = (
        ("bounce", looked.bounce),
        ("tube", looked.tube_mode),
    )
    for kind, modes in kinds:
        for number, mode in enumerate(modes.T, start=1):
            met = mode / (tau * turns * order)
            low, high = np.percentile(met, (5, 95))
            if low - BAND <= speed <= high + BAND:
                one = float(met[0])
                found.append(
                    Meeting(kind=kind, number=number, speed=one, low=float(low), high=float(high))
                )
    return tuple(sorted(found, key=lambda one: abs(one.speed - speed)))

"""Which questions of shake are shown, of which configurations, and where their modes are met."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import sqrt, tau

import numpy as np

from sim.arrays import Array, Index
from sim.display import Display
from sim.explore.felt_near import height_of
from sim.explore.shaken import CRITICAL_SHARE, STEP, Course, Order, Shake
from sim.explore.shaken_bands import on_the_stop
from sim.measure.shake.unknown import UNKNOWNS
from sim.measure.whirl.crossings import road_speed
from sim.motion.states import Situation
from sim.motion.sweep import RIDE_HEIGHT
from sim.scene.parts import Complaint, Scene, Vehicle
from sim.show.style import INK, QUIET, configuration_look

MOST = 3  # configurations in a picture
LEAST_SHARE = 0.1  # of the road speeds, above which a place is named
INCH_STEPS = 4  # road speeds a mile per hour


@dataclass(frozen=True, slots=True)
class Question:
    """What one picture asks: force of an order over road speed in a situation."""

    stem: str
    title: str
    column: str  # of a table, how its name begins
    situation: Situation
    order: Order


QUESTIONS = (
    Question("shake-once-per-turn", "Once per turn, cruise", "cruise_once", "cruise", 1),
    Question("shake-twice-per-turn", "Twice per turn, cruise", "cruise_twice", "cruise", 2),
    Question("shake-pull-away", "Twice per turn, pulling away", "pull_away_twice", "pull-away", 2),
    Question("shake-launch", "Twice per turn, hard launch", "launch_twice", "hard launch", 2),
)


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """A configuration in the pictures: its place in the scene, which gives its look, its shake."""

    number: int
    shake: Shake

    @property
    def name(self) -> str:
        """Name of the configuration."""
        return self.shake.configuration.name


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """A question at one height, with the course of every configuration that has one."""

    question: Question
    height: str
    courses: tuple[tuple[Shown, Course], ...]
    vehicle: Vehicle

    @property
    def ends(self) -> tuple[float, float]:
        """Road speeds between which it is asked [m/s]."""
        speeds = [course.speed for _, course in self.courses]
        if self.question.situation == "cruise":
            return 0.0, self.vehicle.top_speed
        return min(float(s[0]) for s in speeds), max(float(s[-1]) for s in speeds)


@dataclass(frozen=True, slots=True)
class Mark:
    """A road speed with a name [m/s], or all up to another one, and the color of its line."""

    speed: float
    text: str
    color: str
    until: float | None = None


def shown_names(scene: Scene, run: Sequence[str]) -> tuple[str, ...]:
    """Return the configurations in the pictures: compared ones, and those of the complaints.

    In the order of the scene.

    Args:
        scene: The scene.
        run: Names of what was run.
    """
    complaints = scene.configurations[0].complaints
    felt = [complaint.felt_in for complaint in complaints if complaint.felt_in]
    wanted = [name for name in (*scene.compared, *felt) if name in run] or run
    most = list(dict.fromkeys(wanted))[:MOST]
    return tuple(one.name for one in scene.configurations if one.name in most)


def road_speeds(display: Display, vehicle: Vehicle) -> Array:
    """Return the road speeds to look at, up to top speed [m/s]: whole units are among them."""
    step = STEP if display.name == "metric" else display.speed.size / INCH_STEPS
    speeds = np.arange(1, np.floor(vehicle.top_speed / step + 1e-6) + 1) * step
    return np.minimum(speeds, vehicle.top_speed)


def shaft_speed(vehicle: Vehicle, speed: Array) -> Array:
    """Return how fast the shafts turn at road speeds [rad/s]."""
    return tau * vehicle.axle_ratio / vehicle.tire_circumference * speed


def asked_of(shown: Sequence[Shown]) -> tuple[Asked, ...]:
    """Return the questions that the configurations can answer.

    A cruise is at ride height; pulling away, where a complaint is about that, and a launch are at
    the height at which they shake hardest.
    """
    found = []
    for question in QUESTIONS:
        height = _height(question, shown)
        courses = tuple(
            (one, course)
            for one in shown
            if (course := one.shake.course(height, question.situation, question.order)) is not None
        )
        if courses:
            vehicle = shown[0].shake.configuration.vehicle
            found.append(Asked(question, height, courses, vehicle))
    return tuple(found)


def _height(question: Question, shown: Sequence[Shown]) -> str:
    """Return the height at which the courses of a question are shown."""
    if question.situation == "cruise":
        return RIDE_HEIGHT.name
    courses = [
        course
        for one in shown
        for course in one.shake.courses
        if course.state.situation == question.situation
    ]
    hardest = max(courses, key=lambda course: _shaken(course)[:, 0].max(), default=None)
    return "" if hardest is None else hardest.state.height


def _shaken(course: Course) -> Array:
    """Return the forces into the brackets, or at the pinion where there is none."""
    inner = course.force[..., 1:-1]
    return inner if inner.shape[-1] else course.force[..., -1:]


def places_in_turn(places: Sequence[str], largest: Index) -> str:
    """Return where the force is largest over road speed, in words.

    Args:
        places: Names of the places.
        largest: Number of the place with the largest force, (V,).
    """
    runs: list[int] = []
    for place in largest.tolist():
        often = np.mean(largest == place) >= LEAST_SHARE
        if often and (not runs or runs[-1] != place):
            runs.append(place)
    named = list(dict.fromkeys(places[place] for place in runs))
    return named[0] if len(named) == 1 else ", then ".join(named)


def marks_of(asked_now: Asked, complaints: Sequence[Complaint]) -> tuple[Mark, ...]:
    """Return the road speeds that have a name within a question, rising.

    Args:
        asked_now: The question.
        complaints: What the driver feels.
    """
    low, high = asked_now.ends
    marks = [
        Mark(one.speed, f"complaint “{one.name}”", INK)
        for one in complaints
        if one.speed is not None and _is_about(one, asked_now)
    ]
    marks += _ends_met(asked_now)
    for shown, course in asked_now.courses:
        marks += _met(shown, asked_now)
        marks += _stops(shown, course)
    return tuple(
        sorted((m for m in marks if low <= m.speed <= high), key=lambda m: (m.speed, m.text))
    )


def _is_about(complaint: Complaint, asked_now: Asked) -> bool:
    """Say whether a complaint may be about a question: as driven, and pulling away as loaded."""
    situation, (shown, _) = asked_now.question.situation, asked_now.courses[0]
    if situation == "cruise":
        return True
    as_loaded = height_of(shown.shake.configuration, complaint) == asked_now.height
    return complaint.when != "coast" and (situation == "hard launch" or as_loaded)


def _met(shown: Shown, asked_now: Asked) -> Iterator[Mark]:
    """Yield where a configuration's modes are met, and where it has no numbers any more."""
    shake, order, vehicle = shown.shake, asked_now.question.order, asked_now.vehicle
    color = configuration_look(shown.number).color
    bounces = shake.bounce[0].tolist()
    for number, mode in enumerate(bounces, start=1):
        which = "bearing" if len(bounces) == 1 else f"bearing {number}"
        speed = road_speed(vehicle, mode / order)
        yield Mark(speed, f"{shown.name}: {which} bounces", color)
    tubes = shake.tube_mode[0].tolist()
    for number, mode in enumerate(tubes, start=1):
        which = "its shaft" if len(tubes) == 1 else f"shaft {number}"
        speed = road_speed(vehicle, mode / order)
        yield Mark(speed, f"{shown.name}: {which} bends", color)
        if order == 1 and mode == min(tubes):
            end = f"{shown.name}: no force told above {CRITICAL_SHARE:g} of its critical speed"
            yield Mark(CRITICAL_SHARE * speed, end, color)


def _ends_met(asked_now: Asked) -> Iterator[Mark]:
    """Yield where gearbox and axle answer on their springs, as these usually are."""
    usual = {one.name: one.usual for one in UNKNOWNS}
    for end, text in (("output", "gearbox on its mounts"), ("pinion", "axle pitches")):
        mode = sqrt(usual[f"{end} stiffness"] / usual[f"{end} mass"])
        speed = road_speed(asked_now.vehicle, mode / asked_now.question.order)
        yield Mark(speed, f"{text}, as usual", QUIET)


def _stops(shown: Shown, course: Course) -> Iterator[Mark]:
    """Yield where a bearing swings so far that its rubber is on its stop."""
    color = configuration_look(shown.number).color
    for number, bearing in enumerate(shown.shake.configuration.bearings):
        between = on_the_stop(course, number, bearing.free_travel)
        if between is not None:
            yield Mark(between[0], f"{shown.name}: rubber on its stop", color, between[1])

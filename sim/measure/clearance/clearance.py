"""How near moving parts come to every obstacle and to the ground, over continuous motion."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sim.measure.clearance.against import obstacle_clearances
from sim.measure.clearance.bodies import rods_of
from sim.measure.clearance.course import Course, course_of, postures_on
from sim.measure.clearance.ground import ground_clearances
from sim.measure.clearance.obstacles import apart_from_brackets
from sim.measure.clearance.result import Clearance, ClearanceCurve
from sim.motion.motion import Reference, Start
from sim.motion.states import State
from sim.scene.parts import Configuration


def measure_clearances(
    configuration: Configuration,
    states: Sequence[State],
    reference: Reference | None = None,
    start: Start = (),
) -> tuple[tuple[Clearance, ...], tuple[ClearanceCurve, ...]]:
    """Return the least clearances of every part in every torque case, and curves over travel.

    The states say which torque cases run, between which heights, and which rolls there are. There
    is one clearance for every obstacle (the ground last), part and torque case; and one curve for
    every obstacle and torque case. Postures start from those of the states, where at hand.

    Raises:
        GeometryError: If the parts cannot reach a posture between two states.
    """
    course = course_of(states, start)
    held = postures_on(configuration, course, course.case, course.travel, course.roll, reference)
    found, curves = ground_clearances(configuration, course, rods_of(configuration, held))
    if configuration.obstacles:
        near, over = obstacle_clearances(configuration, course, held, reference)
        found = (*near, *_bracket_clearances(configuration, course), *found)
        curves = (*over, *curves)
    return found, curves


def _bracket_clearances(configuration: Configuration, course: Course) -> Iterator[Clearance]:
    """Yield the clearance of bearing brackets to lines, exhaust and what moves."""
    for obstacle in configuration.obstacles:
        for name, (distance, point) in apart_from_brackets(configuration, obstacle).items():
            yield Clearance(
                obstacle=obstacle.name,
                kind=obstacle.kind,
                part=name,
                size_known=False,
                distance=float(distance),
                certified_within=0.0,
                at_rest=float(distance),
                case=course.cases[0],
                travel=0.0,
                roll=0.0,
                turning=True,
                point=point,
            )

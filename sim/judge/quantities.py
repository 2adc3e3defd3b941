"""What rules look at: every quantity is one function from numbers to parts with values."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sim import units
from sim.judge import clearance_quantities as clearance
from sim.judge import joint_quantities as joints
from sim.judge import met_quantities as met
from sim.judge import set_up_quantities as set_up
from sim.judge import shake_quantities as shake
from sim.judge import slide_quantities as slide
from sim.judge import strength_quantities as strength
from sim.judge import whirl_quantities as whirl
from sim.judge.part import Part
from sim.measure.numbers import Numbers

KINDS_OF_UNITS: Mapping[str, units.Kind] = {
    "deg": units.ANGLE,
    "mm": units.LENGTH,
    "km": units.DISTANCE,
    "km/h": units.ROAD_SPEED,
    "rad/s²": units.ACCELERATION,
    "%": units.SHARE,
    "N m": units.TORQUE,
}
READINGS = "it looks at the readings themselves"


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """Something that a rule may look at.

    Attributes:
        unit: Unit of its values.
        look: Gives its parts.
        by_state: Whether it changes from state to state.
        at_speed: Whether it depends on the road speed of the state.
        own_limit: Whether part or vehicle bring the limit along.
        not_sampled: Why it is not weighed by samples; "" where it is.
    """

    unit: str
    look: Callable[[Numbers], list[Part]]
    by_state: bool = True
    at_speed: bool = False
    own_limit: bool = False
    not_sampled: str = ""

    @property
    def example(self) -> str:
        """A limit as a rule file would write it."""
        kind = KINDS_OF_UNITS[self.unit]
        return "its own" if self.own_limit else f"3 {units.spell(kind.metric)}"


def _still(unit: str, look: Callable[[Numbers], list[Part]], **more: str | bool) -> Quantity:
    """Return a quantity that no state changes."""
    return Quantity(unit=unit, look=look, by_state=False, **more)  # type: ignore[arg-type]


def _angle(look: Callable[[Numbers], list[Part]], own_limit: bool = False) -> Quantity:
    """Return an angle in every state."""
    return Quantity(unit="deg", look=look, own_limit=own_limit)


def _length(look: Callable[[Numbers], list[Part]]) -> Quantity:
    """Return a length in every state."""
    return Quantity(unit="mm", look=look)


def _shake(unit: str, look: Callable[[Numbers], list[Part]]) -> Quantity:
    """Return an acceleration in every state, at its speed."""
    return Quantity(unit=unit, look=look, at_speed=True)


QUANTITIES: Mapping[str, Quantity] = {
    "gap": _length(slide.gap),
    "engaged": _length(slide.engaged),
    "engaged against its least": Quantity(
        unit="mm", look=slide.engaged_against_its_least, own_limit=True
    ),
    "plunge left": _length(slide.plunge_left),
    "clearance of known sizes": _length(clearance.known),
    "clearance of known sizes to lines": _length(clearance.known_to_lines),
    "clearance of assumed sizes": _length(clearance.assumed),
    "clearance": _length(clearance.any_obstacle),
    "clearance to fixed parts": _length(clearance.fixed_part),
    "clearance to lines": _length(clearance.line),
    "clearance to the exhaust": _length(clearance.exhaust),
    "height over ground of known sizes": _length(clearance.ground_known),
    "height over ground": Quantity(unit="mm", look=clearance.ground, own_limit=True),
    "universal joints": _angle(joints.universal_joints),
    "odd front joint": _angle(joints.odd_front_joint),
    "coupling joints": _angle(joints.coupling_joints),
    "paired joints": _angle(joints.paired_joints),
    "last two joints": _angle(joints.last_two_joints),
    "constant velocity joints": _angle(joints.constant_velocity_joints),
    "lone universal joint": _angle(joints.lone_universal_joint),
    "flexible coupling at the output": _angle(joints.flexible_coupling_at_the_output),
    "pair differences": _angle(joints.pair_differences),
    "last pair difference": _angle(joints.last_pair_difference),
    "slope difference": _angle(joints.slope_difference),
    "residual angle": _angle(joints.residual_angle),
    "universal joints without a limit of their own": _angle(joints.without_own_limit),
    "universal joints at their limit": _angle(joints.universal_at_their_limit, True),
    "constant velocity joints at their limit": _angle(
        joints.constant_velocity_at_their_limit, True
    ),
    "flexible couplings at their limit": _angle(joints.flexible_at_their_limit, True),
    "angle at speed": Quantity(
        unit="deg", look=joints.angle_at_speed, at_speed=True, own_limit=True
    ),
    "fluctuation of the pinion": Quantity(unit="%", look=shake.pinion_fluctuation),
    "torsional acceleration": _shake("rad/s²", shake.torsional),
    "torsional acceleration of one shaft": _shake("rad/s²", shake.torsional_of_one_shaft),
    "inertial acceleration under drive": _shake("rad/s²", shake.inertial_drive),
    "inertial acceleration on the overrun": _shake("rad/s²", shake.inertial_coast),
    "joint torque": Quantity(unit="N m", look=joints.joint_torque, own_limit=True),
    "sizing torque of rated joints": _still("N m", strength.sizing_of_rated, own_limit=True),
    "sizing torque by series": _still("N m", strength.sizing_by_series, own_limit=True),
    "peak torque of joints": _still("N m", strength.peak_of_joints, own_limit=True),
    "tube torque": _still("N m", strength.tube_torque, own_limit=True),
    "peak torque of tubes": _still("N m", strength.peak_of_tubes, own_limit=True),
    "joint life": _still("km", strength.joint_life),
    "bearing swing met twice a turn": _length(met.bearing_swing),
    "half critical": _still("km/h", met.half_critical, own_limit=True),
    "bearing met once a turn": _still("km/h", whirl.bearing_once_a_turn),
    "whirl limit": _still("km/h", whirl.whirl_limit, own_limit=True),
    "whirl limit, beam": _still("km/h", whirl.beam_whirl_limit, own_limit=True),
    "phase": _still("deg", set_up.phase),
    "index marks": _still("deg", set_up.index_marks),
    "bracket skew": _still("deg", set_up.bracket_skew),
    "contradicting angle": _still(
        "deg", set_up.contradicting_angle, own_limit=True, not_sampled=READINGS
    ),
    "contradicting length": _still(
        "mm", set_up.contradicting_length, own_limit=True, not_sampled=READINGS
    ),
}

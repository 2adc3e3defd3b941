"""What would be read on a truck whose shafts were cut to a plan, for many trucks at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from sim.arrays import Array, Marks
from sim.explore.evaluate import reached, varied
from sim.measure.contradictions import checks_others
from sim.measure.slip import gap_to_bottom
from sim.motion.bearing_force import across
from sim.motion.frames import slope_of
from sim.motion.motion import Start
from sim.motion.postures import Postures
from sim.motion.rows import rows_of_designs
from sim.motion.solve import postures_of
from sim.motion.states import State
from sim.scene.parts import NO_TORQUE, Bearing, Configuration, Design, Reading
from sim.scene.readback import RIDE, Posture
from sim.scene.tables.ends import turned

SIDES = {"aft": (0, 1), "forward": (0, -1), "right": (1, 1), "left": (1, -1), "up": (2, 1)}
SIDES["down"] = (2, -1)
FRAME = "frame at "  # leads the keys of what is not of the design: how the frame stood


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One reading, and the posture in which it was read."""

    height: str
    reading: Reading
    to_level: bool

    @property
    def label(self) -> str:
        """Its name, as in "gap at full droop"."""
        where = "" if self.height == RIDE else f" at {self.height}"
        return f"{self.reading.path}{where}"


def seen_in(postures: Sequence[Posture]) -> tuple[Seen, ...]:
    """Return every reading, posture by posture.

    Args:
        postures: From a readings file.
    """
    return tuple(
        Seen(height=posture.height, reading=one, to_level=one.path in posture.to_level)
        for posture in postures
        for one in posture.readings
    )


def hung_to(plan: Configuration, postures: Sequence[Posture]) -> Design:
    """Return the design of a truck that carries the shafts of a plan.

    Its places may differ from the plan's; the shafts keep the lengths that stand on paper.  What
    checked the plan's readings is taken out, and every height that was read has its travel.

    Args:
        plan: As it was read.
        postures: From a readings file.

    Returns:
        The design, at first in the places of the plan.
    """
    design = plan.design
    assert design is not None
    values = {path: value for path, value in design.values.items() if not _checks(path)}
    readings = {path: read for path, read in design.readings.items() if path in values}
    structure, heights = design.structure, dict(design.structure.heights)
    for posture in postures:
        if posture.travel is not None:
            path = f"height.{posture.height}.{posture.travel.path}"
            values[path], readings[path] = posture.travel.value, posture.travel
            heights[posture.height] = (NO_TORQUE,)
    on_paper = design.cut_as or replace(design, readings={})
    return replace(
        design,
        structure=replace(structure, heights=heights),
        values=values,
        readings=readings,
        cut_as=on_paper,
    )


def _checks(path: str) -> bool:
    """Say whether a reading only checked the plan: it says nothing of what was built."""
    return checks_others(path) or (path.startswith("shaft.") and path.endswith(".length"))


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """Predicts readings.

    Attributes:
        design: Whose values are varied.
        seen: The readings, R of them.
    """

    design: Design
    seen: tuple[Seen, ...]
    _read: Configuration = field(init=False)
    _states: tuple[State, ...] = field(init=False)
    _start: Start = field(init=False)

    def __post_init__(self) -> None:
        """Follow the design as it stands into every posture.

        Raises:
            GeometryError: If it cannot reach one.
        """
        read = self.design.build()
        heights = dict.fromkeys(one.height for one in self.seen)
        travels = _travels(read)
        states = tuple(_at(height, travels[height]) for height in heights)
        start = tuple(column[:, None] for column in postures_of(read, states).start)
        for name, value in (("_read", read), ("_states", states), ("_start", start)):
            object.__setattr__(self, name, value)

    def predict(self, values: Mapping[str, Array]) -> tuple[Array, Marks]:
        """Return what would be read on B trucks.

        Args:
            values: By path, values that differ from the design's [SI unit, radians], each (B,);
                paths led by "frame at " are slopes of the frame at a height.

        Returns:
            Readings [m or rad], shape (B, R), and which trucks cannot be, (B,).
        """
        count = len(next(iter(values.values())))
        own = {path: value for path, value in values.items() if not path.startswith(FRAME)}
        built = varied(self.design, own).build()
        rows = rows_of_designs(built, self._states, self._read, count)
        _, held, lost = reached(built, rows, self._start)
        number = {state.height: k for k, state in enumerate(self._states)}
        columns = [
            self._one(one, built, held, number[one.height], values.get(FRAME + one.height))
            for one in self.seen
        ]
        table = np.stack([np.broadcast_to(column, (count,)) for column in columns], axis=-1)
        gone = np.asarray(lost.any(axis=0) | ~np.isfinite(table).all(axis=-1))
        return np.where(gone[:, None], 0.0, table), gone

    def as_it_stands(self) -> list[float]:
        """Return what would be read on the design in its own places [m or rad], R numbers."""
        path, value = next(iter(self.design.values.items()))
        table, _ = self.predict({path: np.full(2, value)})
        return [float(number) for number in table[0]]

    def _one(
        self, one: Seen, built: Configuration, held: Postures, state: int, frame: Array | None
    ) -> Array:
        """Return one reading of every truck, (B,)."""
        if one.reading.path == "gap":
            return gap_to_bottom(built.spline, held.slip[state])
        table, _, key = one.reading.path.rpartition(".")
        part, _, digit = table.partition(".")
        if key == "slope":
            member = {"output": 0, "pinion": -1}.get(part, int(digit or 0))
            axis = held.axis[state, ..., member, :]
            level = one.to_level and frame is not None
            return slope_of(turned(axis, frame) if level else axis)
        way, sign = SIDES[key]
        if part == "bearing":
            bearing = built.bearings[int(digit) - 1]
            place = _sagged(bearing, held, state, int(digit)) if bearing.planned else bearing.point
            return np.asarray(sign * place[..., way])
        joint = {"output": 0, "pinion": -1}.get(part, int(digit or 0) - 1)
        return np.asarray(sign * held.joint_center[state, ..., joint, way])


def _sagged(bearing: Bearing, held: Postures, state: int, number: int) -> Array:
    """Return where a bearing is read whose place was planned: the shafts hang in it by now [m]."""
    off = held.bearing_center[state, ..., number - 1, :] - bearing.point
    return np.asarray(bearing.point + across(off, held.axis[state, ..., number, :]))


def _travels(read: Configuration) -> dict[str, float]:
    """Return the mean travel of every height by its name [m]."""
    if read.travel is None:
        return {RIDE: 0.0}
    own = {height.name: (height.left + height.right) / 2 for height in read.travel.heights}
    return {RIDE: 0.0, "full droop": -read.travel.droop} | own


def _at(height: str, travel: float) -> State:
    """Return a height without torque."""
    return State(
        height=height,
        case=NO_TORQUE,
        travel=travel,
        roll=0.0,
        wheel_torque=0.0,
        shaft_torque=0.0,
        turning=True,
        road_speed=0.0,
    )

"""Trucks as built for tests: a plan whose values are off by known amounts, read with known errors.

The truth is solved, not predicted: ``solve`` of the plan's design with other values, its shafts
those of the plan.  No source, never evidence: they only ask whether what was put in is found.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.motion.solve import solve
from sim.motion.states import State
from sim.scene.parts import Configuration, Reading
from sim.scene.readback import Posture, Readback

DEG, BAND = np.pi / 180, 1.959964
RIDE, DROOP = "ride height", "full droop"
PRECISE = {"slope": 0.1 * DEG, "gap": 0.001, "up": 0.002, "aft": 0.003, "right": 0.002}
PRECISE |= {"down": 0.002, "forward": 0.003, "left": 0.002}
AXES = {"aft": 0, "right": 1, "up": 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """A truck as it really is: values by path that differ from the plan's, a shaft cut short."""

    values: Mapping[str, float]
    cut_short: float = 0.0  # [m]
    raised: float = 0.0  # how far the raised posture really is above ride height [m]; 0 for none


def exact_readings(plan: Configuration, truth: Truth) -> dict[tuple[str, str], float]:
    """Return what an angle finder and a tape without error would read, by height and path."""
    assert plan.design is not None
    real = replace(plan.design.vary(truth.values), cut_as=plan.design).build()
    travels = {RIDE: 0.0}
    if real.travel is not None and not real.on_frame:
        travels |= {DROOP: -real.travel.droop} | ({"raised": truth.raised} if truth.raised else {})
    motion = solve(real, states=[_state(height, far) for height, far in travels.items()])
    found: dict[tuple[str, str], float] = {}
    for k, height in enumerate(travels):
        slope = np.arctan2(-motion.axis[k, 0, :, 2], np.hypot(*motion.axis[k, 0, :, :2].T))
        names = ["output", *(f"shaft.{n}" for n in range(1, len(slope) - 1)), "pinion"]
        for name, value in zip(names, slope.tolist(), strict=True):
            found[height, f"{name}.slope"] = value
        found[height, "gap"] = float(real.spline.gap + motion.slip[k, 0]) + truth.cut_short
        found[height, "pinion.up"] = float(motion.joint_center[k, 0, -1, 2])
    for n, bearing in enumerate(real.bearings, start=1):
        for key, way in AXES.items():
            found[RIDE, f"bearing.{n}.{key}"] = float(bearing.point[way])
    for n in range(2, len(real.shafts) + 1):
        found[RIDE, f"joint.{n}.up"] = float(motion.joint_center[0, 0, n - 1, 2])
    found[RIDE, "pinion.aft"] = float(motion.joint_center[0, 0, -1, 0])
    found[RIDE, "output.up"] = float(motion.joint_center[0, 0, 0, 2])
    return found


def _state(height: str, travel: float) -> State:
    return State(
        height=height if travel <= 0 else "",
        case="no torque",
        travel=travel,
        roll=0.0,
        wheel_torque=0.0,
        shaft_torque=0.0,
        turning=True,
        road_speed=0.0,
    )


def readback_of(
    plan: Configuration,
    values: Mapping[tuple[str, str], float],
    raised: Reading | None = None,
) -> Readback:
    """Return readings as a file would bring them."""
    heights = dict.fromkeys(height for height, _ in values)
    postures = tuple(
        Posture(
            height=height,
            readings=tuple(
                reading(path, value) for (at, path), value in values.items() if at == height
            ),
            travel=raised if height == "raised" else None,
            frame=None,
            to_level=frozenset(),
        )
        for height in heights
    )
    return Readback(
        configuration=plan.name,
        who="A. Tester",
        date="2026-11-20",
        odometer="",
        postures=postures,
        assumed=frozenset(),
    )


def reading(path: str, value: float, spread: float = 0.0) -> Reading:
    """Return a reading with the ± of a good tool."""
    far = spread or PRECISE[path.rpartition(".")[2]]
    return Reading(path=path, value=value, spread=far, text=f"{value}", status="measured", line=0)


def read_with_error(
    exact: Mapping[tuple[str, str], float], random: np.random.Generator
) -> dict[tuple[str, str], float]:
    """Return readings, each off by its own normal error."""
    off = random.standard_normal(len(exact)).tolist()
    return {
        key: value + PRECISE[key[1].rpartition(".")[2]] / BAND * z
        for (key, value), z in zip(exact.items(), off, strict=True)
    }


def drawn_truth(
    plan: Configuration, random: np.random.Generator, paths: Sequence[str]
) -> dict[str, float]:
    """Return true values of readings of a plan, each off by its own normal error."""
    read = plan.readings
    return {
        path: read[path].value + read[path].spread / BAND * float(random.standard_normal())
        for path in paths
    }

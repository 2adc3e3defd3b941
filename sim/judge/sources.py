"""What may shake: the likely sources of a complaint, as data, with how each is confirmed.

After service manuals (order arithmetic: Ford, GM) and the shops' own table of come-backs (common
practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sim.measure.orders import Part

Evidence = Literal["", "critical", "half critical", "bounce", "wrap", "height"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One thing that may shake.

    Attributes:
        name: What it is, in plain words.
        part, order: Shakes per turn of which part; order 0 is the engine's firing order.
        torque: "no" if the shake is the same under drive and on the overrun, "yes" if it needs
            torque, "either" where both happen.
        load: Whether it changes with the vehicle's load.
        rules: Rules that look at it; a finding of one of them speaks for it.
        evidence: Which number of the model speaks for or against it.
        confirm: What to do at the vehicle to be sure.
    """

    name: str
    part: Part
    order: float
    torque: Literal["no", "yes", "either"]
    confirm: str
    load: bool = False
    rules: tuple[str, ...] = ()
    evidence: Evidence = ""


ANGLES = (
    "yoke phase",
    "index marks",
    "front joint, most",
    "coupling joint, most",
    "joint, most",
    "lone universal joint",
    "pair difference",
    "residual fluctuation",
    "pinion uneven",
    "shaft uneven under drive",
    "shaft uneven on the overrun",
)

SOURCES: tuple[Source, ...] = (
    Source(
        name="wheel or tire out of balance or out of true",
        part="tire",
        order=1,
        torque="no",
        confirm="Balance the wheels or fit others: the shake changes with them.",
    ),
    Source(
        name="tire out of round, two high spots",
        part="tire",
        order=2,
        torque="no",
        confirm="Measure the tires' run-out, or fit others.",
    ),
    Source(
        name="shaft out of balance, bent, or on a flange out of true",
        part="shaft",
        order=1,
        torque="no",
        confirm="Measure run-out at both ends and in the middle; turn the shaft by half a turn on "
        "its flange: the shake changes.",
    ),
    Source(
        name="shaft whirls near its critical speed",
        part="shaft",
        order=1,
        torque="no",
        rules=("critical speed", "critical speed, beam"),
        evidence="critical",
        confirm="It grows steeply with speed and hardly with torque. Do not drive on to find out: "
        "compare the whirl limit, and look for a bent tube.",
    ),
    Source(
        name="shaft bends at half of its critical speed, shaken by the joints",
        part="shaft",
        order=2,
        torque="either",
        evidence="half critical",
        confirm="It booms in a narrow band of speed and is gone above it.",
    ),
    Source(
        name="joint angles or yoke phase that do not cancel",
        part="shaft",
        order=2,
        torque="either",
        rules=ANGLES,
        confirm="Read the slopes at ride height again and look at the index marks, before a shim "
        "is moved.",
    ),
    Source(
        name="axle winds up, so the rear joints no longer cancel",
        part="shaft",
        order=2,
        torque="yes",
        load=True,
        evidence="wrap",
        rules=("launch shudder", "pinion uneven"),
        confirm="Record the pinion slope under torque, nobody under the vehicle, or fit a traction "
        "bar on trial: the shake under drive goes.",
    ),
    Source(
        name="shafts bounce on the rubber of the center bearing",
        part="shaft",
        order=2,
        torque="either",
        load=True,
        evidence="bounce",
        confirm="It comes and goes within a few km/h while pulling away. Straighten the shafts in "
        "top view first, then try a stiffer rubber.",
    ),
    Source(
        name="joint angles at the other ride height",
        part="shaft",
        order=2,
        torque="either",
        load=True,
        evidence="height",
        confirm="Read the slopes empty and loaded: the front joint stays, the rear ones move.",
    ),
    Source(
        name="engine, clutch or converter out of balance",
        part="engine",
        order=1,
        torque="no",
        confirm="Run the engine at that speed standing still, out of gear: it shakes all the same.",
    ),
    Source(
        name="the engine's firing",
        part="engine",
        order=0,
        torque="yes",
        confirm="Drive at that road speed in another gear: the shake moves with the engine.",
    ),
)

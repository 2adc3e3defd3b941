"""[shaft.N]: shafts and their tubes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim import units
from sim.scene.allowed import In
from sim.scene.keys import Problem, choice, default, need, optional
from sim.scene.materials import MATERIALS
from sim.scene.places import SLOPE
from sim.scene.structure import Material, Structure
from sim.scene.table import Table, TableKey
from sim.scene.tables.spline import off_by
from sim.scene.values import Values, Vector, plain
from sim.units import ANGLE, LENGTH, MASS, STRESS, UNBALANCE

DEPTH = In(LENGTH, "10 to 800 mm", "62 mm", "25 to 500 mm")
YOKES = 6.0  # [kg], common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """A straight round tube of even wall: outside diameter and wall [m], and what it is made of.

    The yield stress [Pa] is None where only the material is known.
    """

    outside: float
    wall: float
    material: Material
    yield_stress: float | None = None

    @property
    def inside(self) -> float:
        """Inside diameter [m]."""
        return self.outside - 2 * self.wall

    @property
    def can_be(self) -> Any:
        """Whether there is a wall, no thicker than half of the outside diameter."""
        return (self.wall > 0) & (self.inside >= 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shaft:
    """A shaft between two joints."""

    tube: Tube  # its tube
    # clock angle of the rear yoke against the front yoke [rad], right-handed about the aft axis,
    # spline assembly (``off_by``) included
    phase: float
    mass: float  # mass with yokes [kg]
    length: float | None  # joint center to joint center as the scene gives it [m], or None
    # joint center to the end of the tube ahead and behind [m], or None
    front_depth: float | None = None
    rear_depth: float | None = None
    factory_phase: float = 0.0  # clock angle that its maker gave it on purpose [rad]; 0 is in line
    unbalance: float | None = None  # of the whole shaft, by a balancing machine [kg m], or None
    runout: float | None = None  # dial reading over one turn at mid-length [m], or None


class TubeKeys(Table):
    """The tube of a shaft."""

    outside = need(In(LENGTH, "20 to 300 mm", "88.9 mm", "38 to 180 mm"), "Outside diameter.").also(
        "od dia outer_diameter"
    )
    wall = need(In(LENGTH, "0.5 to 50 mm", "2.1 ± 0.1 mm", "1.2 to 7 mm"), "Wall thickness.")
    material = choice(Material, "What it is made of.", "steel")
    yield_stress = optional(
        In(STRESS, "50 to 2000 MPa", "414 MPa", exact=True),
        "Least yield stress by its certificate.",
        "typical of its material",
    )

    def check(self) -> Iterator[Problem]:
        """Refuse a wall that leaves no bore."""
        wall = self.wall
        if wall.value >= self.outside.value / 2:
            below = f"{units.say(LENGTH, self.outside.value / 2, wall.unit)} {wall.unit}"
            yield ("wall",), f" is {wall.text}; must be below {below}, half of outside"


class ShaftKeys(Table):
    """A shaft; its ends are the joints and bearings before and behind it."""

    tube: TableKey[TubeKeys] = TableKey(TubeKeys, "Its diameter, wall and material.", needed=True)
    phase = default(
        "0 deg",
        In(ANGLE, "-90 to 90 deg", "0 deg"),
        "Clock angle from the front yoke to the rear yoke, as welded; positive turns the rear "
        "yoke counterclockwise, seen from behind.",
    ).also("phasing clocking")
    factory_phase = optional(
        In(ANGLE, "-90 to 90 deg", "30 deg"),
        "Clock angle that its maker gave it on purpose, to be kept.",
        "yokes in line",
    )
    mass = optional(
        In(MASS, "0.5 to 200 kg", "14 kg", "2 to 90 kg"), "Mass with yokes.", "tube and 6 kg"
    ).also("weight")
    length = optional(
        In(LENGTH, "100 to 6000 mm", "1908 ± 2 mm"),
        "Joint center to joint center at ride height, to check the places with.",
        "from the places",
    )
    front_depth = optional(
        DEPTH, "Center of the joint ahead to the front end of the tube.", "not known: no cut length"
    ).also("yoke_depth front_yoke")
    rear_depth = optional(
        DEPTH,
        "Rear end of the tube to the center of the joint behind, over stub and bearing if any.",
        "not known: no cut length",
    ).also("rear_yoke")
    unbalance = optional(
        In(UNBALANCE, "0 to 20000 g mm", "420 ± 50 g mm", "0 to 5000 g mm"),
        "Unbalance of the whole shaft, as the balancing machine shows it.",
        "G16 to G40 at top speed",
    ).also("imbalance balance")
    runout = optional(
        In(LENGTH, "0 to 5 mm", "0.4 ± 0.05 mm", "0 to 1.5 mm"),
        "Dial reading over one turn, at mid-length of its tube.",
        "0.1 to 0.6 mm",
    ).also("tir dial bent")
    slope = optional(
        SLOPE, "Slope read along its tube at ride height, to check the places with.", "not read"
    ).also("angle shaft_angle")


def shaft(v: Values, s: Structure, number: int, centers: Sequence[Vector]) -> Shaft:
    """Return a shaft between joint centers at ride height."""
    path = f"shaft.{number}"
    tube = Tube(
        outside=v[f"{path}.tube.outside"],
        wall=v[f"{path}.tube.wall"],
        material=s.tubes[number - 1],
        yield_stress=v.get(f"{path}.tube.yield_stress"),
    )
    area = math.pi / 4 * (tube.outside**2 - tube.inside**2)
    length = np.linalg.norm(centers[number] - centers[number - 1], axis=-1)
    density = MATERIALS[tube.material].density
    mass = v.derive(
        f"{path}.mass",
        plain(area * length * density + YOKES),
        f"tube and {v.display.mass.say(YOKES)}",
    )
    return Shaft(
        tube=tube,
        phase=v[f"{path}.phase"] + _assembly(v, s, number),
        factory_phase=v.get(f"{path}.factory_phase") or 0.0,
        mass=mass,
        length=v.get(f"{path}.length"),
        front_depth=v.get(f"{path}.front_depth"),
        rear_depth=v.get(f"{path}.rear_depth"),
        unbalance=v.get(f"{path}.unbalance"),
        runout=v.get(f"{path}.runout"),
    )


def _assembly(v: Values, s: Structure, number: int) -> Any:
    """Return by how much the spline's assembly clocks a shaft [rad].

    A stub behind a bearing clocks the shaft that carries it, a spline inside a shaft that shaft,
    a spline on the output none: there the whole chain turns.
    """
    last = len(s.tubes)
    clocked = {"output": 0, "midship": last - 1, "shaft": last}[s.spline]
    return off_by(v, s) if number == clocked else 0.0

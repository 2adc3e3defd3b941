"""Designs, a structure and its values by path; and configurations, what is built from them.

A design is read from a file, or made by hand: ``Design.made``.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Set
from dataclasses import dataclass, field, replace
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np

from sim.display import DisplayName
from sim.errors import DomainError
from sim.scene.structure import Structure
from sim.scene.tables.bearing import Bearing, bearing, joint_centers
from sim.scene.tables.brace import Brace, brace
from sim.scene.tables.complaint import Complaint, complaint
from sim.scene.tables.ends import End, end
from sim.scene.tables.joint import Joint, joint
from sim.scene.tables.limits import Limits, limits
from sim.scene.tables.obstacle import Obstacle, obstacle
from sim.scene.tables.rail import Rail, rails
from sim.scene.tables.service import UNKNOWN_TORSION, Duty, Torsion, duties, torsion
from sim.scene.tables.shaft import Shaft, shaft
from sim.scene.tables.spline import OutputSpline, Spline, output_spline, spline
from sim.scene.tables.suspension import Suspension, suspension
from sim.scene.tables.torque import TorqueCase, full_travel_speed, torque_cases
from sim.scene.tables.travel import Travel, travel
from sim.scene.tables.vehicle import Vehicle, vehicle
from sim.scene.values import Reading, Status, Values, Vector, opposite


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Configuration:
    """One complete vehicle with one driveline.

    Attributes:
        name, about: Its name, and what its author says of it.
        differences: What it changes against the one it is like, in words.
        vehicle, output, pinion, limits, spline: See their classes.  The pinion is given after any
            wedge (``nose_up``) has turned it about the axle center.
        axle: Axle center at ride height [m], shape (3,); its right part is 0.
        suspension, travel: None when only ride height is looked at.
        torque_cases: As the scene gives them, "no torque" first.
        full_travel_speed: Road speed at full droop and full bump [m/s].
        obstacles: What must not be touched.
        series: Series of the joints, or None.
        shafts, bearings, joints: From the front; N shafts, N − 1 bearings, N + 1 joints.
        output_spline: A slip yoke on the output ahead of a bearing, or None.
        cut_as: The configuration whose shafts, already cut, it carries, or None.
        readings: Every reading by its path.
        like: Name of the configuration that it starts from, or "".
        duties: What the vehicle does; empty where the scene does not say.
        torsion: What the shafts twist between.
        complaints: What the driver feels.
        braces: Where bearings may hang, by their numbers; may hold bearings that are not there.
        rails: Side rails of the frame, left and right; empty where the scene does not say.
        display: Units of words about it.
        doubted: Paths of readings that are likely not what was meant: no advice before they were
            looked at again.
        design: What it was built from, to build it again from other values; None for one whose
            parts were made one by one.
    """

    name: str
    about: str
    differences: tuple[str, ...]
    vehicle: Vehicle
    output: End
    pinion: End
    axle: Vector
    suspension: Suspension | None
    travel: Travel | None
    torque_cases: tuple[TorqueCase, ...]
    full_travel_speed: float
    obstacles: tuple[Obstacle, ...]
    limits: Limits
    series: str | None
    shafts: tuple[Shaft, ...]
    bearings: tuple[Bearing, ...]
    joints: tuple[Joint, ...]
    spline: Spline
    output_spline: OutputSpline | None
    cut_as: Configuration | None
    readings: Mapping[str, Reading] = field(repr=False)
    like: str = ""
    duties: tuple[Duty, ...] = ()
    torsion: Torsion = UNKNOWN_TORSION
    complaints: tuple[Complaint, ...] = ()
    braces: Mapping[int, Brace] = field(default_factory=dict)
    rails: tuple[Rail, ...] = ()
    display: DisplayName = "metric"
    doubted: tuple[str, ...] = ()
    design: Design | None = field(default=None, repr=False)

    @property
    def on_frame(self) -> bool:
        """Whether the final drive hangs on the frame, and no axle moves."""
        return self.suspension is not None and self.suspension.on_frame


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Linked:
    """Readings whose errors hang together, as readings of one truck fused with each other do."""

    paths: tuple[str, ...]  # N of them, as in "bearing.1.up"
    # how far off each is, in its own standard deviations, is this times independent normal numbers,
    # (N, N); its rows have length 1
    root: Vector


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class Design:
    """What can be built: a structure, and a value for every path.

    Attributes:
        name: Name of the configuration.
        structure: Kinds, counts and choices.
        values: By path, as in "bearing.1.up" [SI unit, radians]; each a number, or an array with
            one value for each of B designs of this structure.
        readings: By path, how each value was read, with its ±.
        cut_as: The design whose shafts, already cut, it carries, or None.
        display: Units of words about it.
        linked: Readings whose errors hang together, or None.
    """

    name: str
    structure: Structure
    values: Mapping[str, Any] = field(repr=False)
    readings: Mapping[str, Reading] = field(default_factory=dict, repr=False)
    cut_as: Design | None = None
    display: DisplayName = "metric"
    linked: Linked | None = field(default=None, repr=False)

    @staticmethod
    def made(
        name: str,
        structure: Structure,
        values: Mapping[str, float | tuple[float, float]],
        *,
        assumed: Mapping[str, float | tuple[float, float]] | None = None,
        cut_as: Design | None = None,
    ) -> Design:
        """Return a design made by hand.

        Args:
            name: Name of the configuration [text].
            structure: Kinds, counts and choices.
            values: By path, a value [SI unit, radians], or a pair of value and ±, the half width
                of its 95 % band [same].
            assumed: The same, of what was not measured.
            cut_as: The design whose shafts, already cut, it carries.

        Returns:
            The design, as good as one that was read.
        """
        readings = {}
        kinds: tuple[Status, ...] = ("measured", "assumed")
        for status, given in zip(kinds, (values, assumed or {}), strict=True):
            for path, of in given.items():
                value, spread = of if isinstance(of, tuple) else (of, 0.0)
                text = f"{value:g} ± {spread:g}" if spread else f"{value:g}"
                readings[path] = Reading(
                    path=path, value=value, spread=spread, text=text, status=status, line=0
                )
        plain = {path: reading.value for path, reading in readings.items()}
        return Design(
            name=name, structure=structure, values=plain, readings=readings, cut_as=cut_as
        )

    def vary(self, changes: Mapping[str, Any]) -> Design:
        """Return the design with other values.

        Args:
            changes: By path, a number or an array of shape (B,) [SI unit, radians]; one word of a
                pair ("down") takes the place of the other ("up").

        Returns:
            The design; what is changed keeps the ± of its reading.

        Raises:
            DomainError: If a path is none of this design, or the arrays differ in length.
        """
        values, readings = dict(self.values), dict(self.readings)
        known = values.keys() if changes.keys() <= values.keys() else self._known()
        for path, value in changes.items():
            other = opposite(path)
            if path not in known:
                raise DomainError(self._unknown(path, known))
            values.pop(other, None)
            values[path] = value
            read = readings.get(path) or readings.pop(other, None)
            if np.ndim(value) == 0 and read is not None:
                readings[path] = replace(read, path=path, value=float(value))
        try:
            np.broadcast_shapes(*(np.shape(value) for value in values.values()))
        except ValueError:
            raise DomainError("the values of a design differ in length") from None
        return replace(self, values=values, readings=readings)

    def on_paper(self, *bearings: int) -> Design:
        """Return the design with bearings whose places are planned, by number."""
        planned = self.structure.planned | {*bearings}
        return replace(self, structure=replace(self.structure, planned=planned))

    def some(self, designs: slice) -> Design:
        """Return some of the B designs that arrays among the values stand for."""
        values = {p: v[designs] if np.ndim(v) else v for p, v in self.values.items()}
        cut_as = self.cut_as and self.cut_as.some(designs)
        return replace(self, values=values, cut_as=cut_as)

    def _known(self) -> Set[str]:
        """Return the paths of all values that are there, or that building asks for."""
        if self not in _asked:
            asked = Values(self.values)
            self._build(asked)
            _asked[self] = self.values.keys() | asked.asked
        return _asked[self]

    def _unknown(self, path: str, known: Set[str]) -> str:
        near = difflib.get_close_matches(path, sorted(known), 3, 0.6)
        hint = f"; near it: {', '.join(near)}" if near else ""
        return f'design "{self.name}" has no {path}{hint}'

    def build(self) -> Configuration:
        """Return the configuration; its numbers are numbers, or arrays of shape (B,).

        Raises:
            DomainError: If a value is missing.
        """
        return self._build(Values(self.values, self.display))

    def _build(self, v: Values) -> Configuration:
        s = self.structure
        plates = vehicle(v)
        output, pinion = end(v, s, "output"), end(v, s, "pinion")
        numbers = range(1, len(s.tubes) + 1)
        bearings = tuple(bearing(v, s, number) for number in numbers[:-1])
        centers = joint_centers(output.point, bearings, pinion.point)
        shafts = tuple(shaft(v, s, number, centers) for number in numbers)
        joints = tuple(joint(v, s, number) for number in (*numbers, len(s.joints)))
        return Configuration(
            name=self.name,
            about="",
            differences=(),
            vehicle=plates,
            output=output,
            pinion=pinion,
            axle=v.place("axle"),
            suspension=suspension(v, s),
            travel=travel(v, s),
            torque_cases=torque_cases(v, s, plates),
            full_travel_speed=full_travel_speed(v, s, plates),
            obstacles=tuple(obstacle(v, s, name) for name in s.obstacles),
            limits=limits(v, s),
            series=s.series,
            shafts=shafts,
            bearings=bearings,
            joints=joints,
            spline=spline(v, s, joints),
            output_spline=output_spline(v),
            cut_as=self.cut_as.build() if self.cut_as else None,
            readings={**self.readings, **v.derived},
            duties=duties(v, s),
            torsion=torsion(v),
            complaints=tuple(complaint(v, s, n, self.readings) for n in s.complaints),
            braces={number: brace(v, s, number) for number in s.braces},
            rails=rails(v, s),
            display=self.display,
            design=self,
        )


_asked: WeakKeyDictionary[Design, Set[str]] = WeakKeyDictionary()  # paths; gone with its design

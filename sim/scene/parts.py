"""What a scene is made of: frozen parts in SI units and radians, in the vehicle's axes.

Places are (aft, right, up) from the datum [m].  Slopes are positive when the front end is higher,
already corrected for the frame's own slope.  Files are not read here: see ``reader``.

A number typed ``float`` may also be an array of samples: formulas broadcast over it.

Every part is offered here; each is described in the module that it comes from.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sim.display import DisplayName
from sim.errors import DomainError
from sim.scene.design import Configuration, Design, Linked
from sim.scene.structure import Coating, JointKind, LifeBasis, SplinePlace, Structure
from sim.scene.tables.bearing import Bearing, joint_centers
from sim.scene.tables.brace import Brace, Foot
from sim.scene.tables.complaint import Complaint
from sim.scene.tables.ends import End
from sim.scene.tables.frame_mounted import FrameMounted
from sim.scene.tables.joint import Joint, KindOfJoint, kind_of_joint
from sim.scene.tables.leaf import LeafSprings
from sim.scene.tables.limits import Limits
from sim.scene.tables.links import Links
from sim.scene.tables.measured import MeasuredAxle
from sim.scene.tables.obstacle import Obstacle
from sim.scene.tables.rail import Hole, Rail
from sim.scene.tables.service import Duty, Torsion
from sim.scene.tables.shaft import Shaft, Tube
from sim.scene.tables.spline import OutputSpline, Spline
from sim.scene.tables.suspension import Suspension
from sim.scene.tables.torque import NO_TORQUE, TorqueCase
from sim.scene.tables.travel import Height, Travel
from sim.scene.tables.vehicle import Vehicle
from sim.scene.values import Reading, Status, Vector
from sim.scene.words import nearest


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """A valid scene: holding one means that every configuration is complete.

    Attributes:
        name: File name without its ending; the folder of its outputs.
        title, about, datum: As written.
        display: "metric" or "inch": the units of screens, tables and sheets.
        rules: Name of the rule set that judges.
        configurations: In the order written.
        compared: The two configurations of the film; one name twice if there is only one.
        doubts: What can be computed but is likely not meant, one line each; ``read_again``, the
            paths of what was doubted, read again and found the same.
        text: The file's text, and ``digest``, its SHA-256.
        folder: Where the file is, and with it a shop's own rules.
        changes: Lines that were tried in place of those in the file.
    """

    name: str
    title: str
    about: str
    datum: str
    display: DisplayName
    rules: str
    configurations: tuple[Configuration, ...]
    compared: tuple[str, str]
    doubts: tuple[str, ...]
    text: str
    digest: str
    folder: Path = Path()
    changes: tuple[str, ...] = ()
    read_again: tuple[str, ...] = ()

    def configuration(self, name: str) -> Configuration:
        """Return the configuration of that name.

        Raises:
            DomainError: If there is none; the message lists the names there are.
        """
        for configuration in self.configurations:
            if configuration.name == name:
                return configuration
        known = [c.name for c in self.configurations]
        hint = nearest(name, known)
        raise DomainError(f'no configuration "{name}"; there are: {", ".join(known)}{hint}')

    def felt_in(self, complaint: Complaint) -> str:
        """Return the name of the configuration in which a complaint is felt."""
        return complaint.felt_in or self.configurations[0].name


def plunging_joint(configuration: Configuration) -> int:
    """Return the number of the joint that slides in place of a spline, from 1; 0 if none does."""
    plunges = (joint.plunge is not None for joint in configuration.joints)
    return next((number for number, slides in enumerate(plunges, start=1) if slides), 0)

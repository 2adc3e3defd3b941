"""Table of the joints of one configuration: kind, how far each bends, and what it stands."""

from __future__ import annotations

import numpy as np

from sim.display import DEGREES, Display
from sim.measure.measurements import Measurements
from sim.scene.parts import Joint
from sim.show.report.pages import Table


def joint_table(m: Measurements, display: Display) -> Table:
    """Return what every joint is and how far it bends, against the angle at which it binds.

    Args:
        m: What was measured.
        display: Units shown.
    """
    rows = []
    for number, joint in enumerate(m.configuration.joints, start=1):
        angles = m.joint_angle[:, number - 1]
        worst = int(np.argmax(angles))
        reading = m.configuration.readings.get(f"joint.{number}.largest_angle")
        usual = reading is None or reading.status != "measured"
        rows.append(
            (
                f"joint {number}",
                joint.kind,
                f"{DEGREES.number(angles[worst])} ({m.states[worst].say(display.name)})",
                f"{DEGREES.number(joint.largest_angle)}{' (usual for its kind)' if usual else ''}",
                _more(joint, display),
            )
        )
    return Table(
        "Joints",
        ("joint", "kind", "largest angle [deg]", "binds at [deg]", "as built"),
        tuple(rows),
        "A universal joint turns what is behind it unevenly, twice in every turn. The others do "
        "not, as long as a double Cardan joint's coupling yoke halves the angle.",
    )


def _more(joint: Joint, display: Display) -> str:
    """Return what else the scene says of a joint."""
    if joint.of_kind.crosses == 2:
        said = f"crosses {display.length.say(joint.between_crosses)} apart"
        if not joint.halving_error:
            return f"{said}, coupling yoke halves the angle"
        error = DEGREES.say(joint.halving_error, signed=True)
        at = DEGREES.say(joint.halving_error_at)
        return f"{said}, coupling yoke {error} off the half at {at}"
    if joint.plunge is not None:
        whole, inward = display.length.say(joint.plunge), display.length.say(joint.plunge_in)
        return f"plunges {whole} in all, {inward} inward at ride height"
    return "–"

"""What the joints are rated for: the scene's own figure, or the usual one of their series."""

from __future__ import annotations

from dataclasses import dataclass

from sim.scene.parts import Configuration

# What light joint series stand for short [N m], weakest first.  From memory: confirm on the maker's
# sheet.
SERIES = {
    "1310": 1085.0,
    "1330": 1207.0,
    "1350": 1680.0,
    "1410": 2034.0,
    "1480": 2657.0,
    "1550": 3593.0,
}
DISPUTED = "1480"  # others say less: it is never proposed


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRating:
    """What one joint stands for short."""

    joint: int  # number of the joint, from 1
    torque: float | None  # its rating [N m], or None where neither scene nor series says
    own: bool  # whether the scene gives it for this joint


def joint_ratings(configuration: Configuration) -> tuple[JointRating, ...]:
    """Return what every joint stands for short; the table is for universal joints.

    Source:
        The scene; else a table of light series from memory.
    """
    usual = SERIES.get(configuration.series or "")
    return tuple(
        JointRating(
            joint=number,
            torque=usual
            if joint.rated_torque is None and joint.of_kind.crosses == 1
            else joint.rated_torque,
            own=joint.rated_torque is not None,
        )
        for number, joint in enumerate(configuration.joints, start=1)
    )


def next_series(torque: float) -> str | None:
    """Return the weakest undisputed series that stands for a torque [N m] short, or None.

    Source:
        A table of light series from memory; the maker's sheet decides.
    """
    strong = (name for name, held in SERIES.items() if held >= torque and name != DISPUTED)
    return next(strong, None)

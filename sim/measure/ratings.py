"""What the joints are rated for: the scene's own figure, or the usual one of their series."""

from __future__ import annotations

from dataclasses import dataclass

from sim.scene.parts import Configuration


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """A light joint series."""

    name: str  # as the trade calls it
    torque: float  # what it stands for short [N m].  From memory: confirm on the maker's sheet
    disputed: bool = False  # whether others say less: then nothing may fail by it


SERIES = {  # weakest first
    name: Series(name=name, torque=torque, disputed=name == "1480")
    for name, torque in (
        ("1310", 1085.0),
        ("1330", 1207.0),
        ("1350", 1680.0),
        ("1410", 2034.0),
        ("1480", 2657.0),
        ("1550", 3593.0),
    )
}


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
    series = SERIES.get(configuration.series or "")
    usual = None if series is None else series.torque
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


def next_series(torque: float) -> Series | None:
    """Return the weakest undisputed series that stands for a torque [N m] short, or None.

    Source:
        A table of light series from memory; the maker's sheet decides.
    """
    strong = (s for s in SERIES.values() if s.torque >= torque and not s.disputed)
    return next(strong, None)

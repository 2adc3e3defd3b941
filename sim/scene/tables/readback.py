"""A readings file: what is read on the truck once the work is done, one table for every posture."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sim.scene.allowed import In
from sim.scene.keys import Problem, TextKey, need, optional
from sim.scene.places import ALONG, SIDE, SLOPE, TRAVEL, UPRIGHT
from sim.scene.table import NamedKey, Pair, Table, TableKey, named, numbered
from sim.scene.tables.ends import FrameKeys
from sim.scene.tables.spline import GAP
from sim.units import DISTANCE

FORMAT = "halfturn readings 1"
NOT_READ = "not read"


class PlaceKeys(Table):
    """A center, as far as it was read; all from the datum of the scene."""

    aft = optional(ALONG, "Distance behind the datum.", NOT_READ)
    forward = optional(ALONG, "Distance ahead of the datum, instead of aft.", NOT_READ)
    right = optional(SIDE, "Distance to the right of the middle.", NOT_READ)
    left = optional(SIDE, "Distance to the left, instead of right.", NOT_READ)
    up = optional(UPRIGHT, "Height above the datum.", NOT_READ)
    down = optional(UPRIGHT, "Depth below the datum, instead of up.", NOT_READ)


class EndKeys(PlaceKeys):
    """Output or pinion: its joint center, and what an angle finder reads on it."""

    slope = optional(SLOPE, "Slope as it stands now; front end high is positive.", NOT_READ)


class ShaftSlopeKeys(Table):
    """A shaft."""

    slope = need(SLOPE, "Slope along its tube; front end high is positive.")


class PostureKeys(Table):
    """What was read while the truck stood in one way."""

    frame: TableKey[FrameKeys | None] = TableKey(
        FrameKeys, "How the truck stood then.", left_out="no slope was read to level"
    )
    output: TableKey[EndKeys | None] = TableKey(EndKeys, "First joint.", left_out=NOT_READ)
    shaft: NamedKey[dict[str, ShaftSlopeKeys]] = numbered(
        ShaftSlopeKeys, "Shafts, numbered from the front."
    )
    bearing: NamedKey[dict[str, PlaceKeys]] = numbered(
        PlaceKeys, "Centers of the bearings, numbered from the front."
    )
    joint: NamedKey[dict[str, PlaceKeys]] = numbered(
        PlaceKeys, "Centers of the joints between shafts, numbered from the front."
    )
    pinion: TableKey[EndKeys | None] = TableKey(
        EndKeys, "Last joint, on its wedge if there is one.", left_out=NOT_READ
    )
    gap = optional(GAP, "Gap of the spline to bottoming.", NOT_READ)


class RaisedKeys(PostureKeys):
    """What was read at another height, without torque; a named height of the scene needs no way."""

    bump = optional(TRAVEL, "Both wheels up by this from ride height.", "see droop")
    droop = optional(TRAVEL, "Both wheels down by this from ride height.", "see bump")

    def pairs(self) -> tuple[Pair, ...]:
        """Return the keys of which at most one is written."""
        return (("bump", "droop", False),)


class ReadbackKeys(Table):
    """The whole file."""

    format: TextKey[str] = TextKey(
        "Format of the file.",
        pattern=rf"^{FORMAT}$",
        rule=f'this program reads "{FORMAT}"',
        needed=True,
    )
    configuration: TextKey[str | None] = TextKey(
        "Name of the configuration that was built.", left_out="the only one, or --only names it"
    )
    who: TextKey[str] = TextKey(
        "Who read.", pattern=r"^\S[^\x00-\x1f\x7f]{0,59}$", rule="a name of 1 to 60 letters",
        needed=True,
    )  # fmt: skip
    date: TextKey[str] = TextKey(
        "Day of the readings.",
        pattern=r"^\d{4}-\d\d-\d\d$",
        rule="write year, month and day, as in 2026-11-20",
        needed=True,
    )
    odometer = optional(In(DISTANCE, "0 to 3000000 km", "48210 km"), "Odometer.", NOT_READ)
    on_the_wheels: TableKey[PostureKeys | None] = TableKey(
        PostureKeys, "At ride height, wheels on the ground.", left_out=NOT_READ
    )
    at_full_droop: TableKey[PostureKeys | None] = TableKey(
        PostureKeys, "On the lift, both wheels hanging.", left_out=NOT_READ
    )
    height: NamedKey[dict[str, RaisedKeys]] = named(
        RaisedKeys, "At other heights, by a name: of the scene, or of your own with its travel."
    )

    def check(self) -> Iterator[Problem]:
        """Refuse a day that is in no calendar."""
        try:
            date.fromisoformat(self.date)
        except ValueError:
            yield ("date",), f' is "{self.date}"; there is no such day'

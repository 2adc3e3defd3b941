"""The stations of the walk along a new vehicle, from the cab to the axle: what is read at each.

Keys are those of a scene, in the order in which they are read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from sim.scene.text import Path

END = "aft up right slope"
PLACE = "aft up right"
BOX = " ".join(f"{end}.{way}" for end in ("from", "to") for way in PLACE.split())
RAIL = "apart up height flange thickness kind"


@dataclass(frozen=True, slots=True)
class Station:
    """Where a person stands, and what can be read there."""

    name: str  # for sketches and gates
    title: str
    says: str  # how it is read, and what to take care of
    asks: tuple[Path, ...] = ()
    more: tuple[Path, ...] = ()  # asked only where more is known
    gate: str = ""  # the question before what is asked then, in words

    def of(self, name: str) -> Station:
        """Return the station of one part out of several, by its name or number."""
        asks, more = (
            tuple(tuple(name if step in ("N", "NAME") else step for step in path) for path in paths)
            for paths in (self.asks, self.more)
        )
        title, gate = (
            re.sub(r"\b(N|NAME)\b", lambda _: name, text) for text in (self.title, self.gate)
        )
        return replace(
            self, name=f"{self.name} {name}", title=title, gate=gate, asks=asks, more=more
        )


def _station(
    name: str, title: str, says: str, asks: str = "", more: str = "", gate: str = ""
) -> Station:
    return Station(name, title, says, tuple(_paths(asks)), tuple(_paths(more)), gate)


def _paths(written: str) -> Iterator[Path]:
    """Yield the paths of a list: "output: aft up" says output.aft and output.up; ":" ends it."""
    table: Path = ()
    for word in written.split():
        if word.endswith(":"):
            table = tuple(word[:-1].split(".")) if word != ":" else ()
        else:
            yield (*table, *word.split("."))


START = _station(
    "start",
    "Before the walk",
    "On its wheels, at ride height, on level ground.  Units, datum and parts decide what is asked.",
    "display title datum rules pieces spline.at suspension.kind slopes more.rails more.brace",
)
PLATES = _station(
    "plates",
    "Cab, plates, papers",
    "From the axle tag, the papers and the weighbridge, as the truck will be driven.",
    "vehicle: axle_ratio top_speed axle_load engine_torque first_gear top_gear",
    "vehicle: engine_cut_off cylinders low_range converter axle_capacity : series",
    "More of engine, gears, axle and joints?",
)
TIRE = _station(
    "tire",
    "Driven tires",
    "Tire pressure right, load on.  Roll one full turn along a chalk line for the circumference.",
    "vehicle: tire_radius tire_circumference",
)
FRAME = _station(
    "frame",
    "Frame rail",
    "Where slopes are read to level: a level on the rail, first thing and last thing.",
    "frame: slope",
)
OUTPUT = _station(
    "output",
    "Output, joint 1",
    "Center of the cross.  Angle finder on the cap, then the yoke turned 180 deg; the mean.",
    f"output: {END}",
    "output: plan_angle",
    "Is its angle in top view known?",
)
SHAFT = _station(
    "shaft",
    "Shaft N",
    "Engine off, key out, wheels blocked: it must not turn.  Paint line on both yokes for phase.",
    "shaft.N: tube.outside tube.wall",
    "shaft.N: tube.material length slope phase mass front_depth rear_depth unbalance runout",
    "More of this shaft?",
)
BEARING = _station(
    "bearing",
    "Center bearing N",
    "Where it hangs, or may hang: the middle of the rolling bearing.",
    f"bearing.N: {PLACE} to_joint planned",
    "bearing.N: skew radial axial free_travel",
    "Bracket out of square, or rubber measured?",
)
JOINTS = _station("joints", "Joints", "Counted from the front; joint 1 is at the output.", "joints")
JOINT = _station(
    "joint",
    "Joint N",
    "Ratings are those of its maker's sheet.",
    "joint.N: kind between_crosses plunge plunge_in largest_angle rated_torque",
)
SPLINE = _station(
    "spline",
    "Spline",
    "Strap the shaft.  Mark it as it rides, push it in until it bottoms, mark it again: the gap.",
    "spline: gap engaged teeth",
    "spline: shorter least_engaged diameter coating off_by",
    "More of the spline?",
)
OUTPUT_SPLINE = _station(
    "output spline",
    "Slip yoke on the output",
    "Only where a yoke slides on the output as well, ahead of the center bearing.",
    "",
    "output_spline: gap engaged",
    "Does a yoke slide on the output too, ahead of the center bearing?",
)
BRACE = _station(
    "brace",
    "Free space for center bearing N",
    "Two opposite corners of where the middle of the bearing may hang, clear of lines and tank.",
    "",
    f"brace.N: {BOX} row_pitch hole_pitch slot shims",
)
FOOT = _station(
    "foot",
    "Foot of brace N",
    "Its hole pattern, alike on both rails.",
    "",
    "brace.N.foot: holes along upright hole bolt aft up",
    "Is the foot of brace N known?  Without it there is no drilling template.",
)
RAILS = _station(
    "rails",
    "Frame rails, left side",
    "Never drill or weld against the maker's instructions.",
    "",
    f"left_rail: {RAIL} : left_holes",
)
RIGHT_RAIL = _station(
    "right rail",
    "Frame rails, right side",
    "Rails are rarely alike: measure both.",
    "",
    f"right_rail: {RAIL} : right_holes",
    "Is the right rail unlike the left one?",
)
HOLE = {
    side: _station(
        f"{side} hole",
        f'Hole "NAME" in the {side} rail',
        "Its center, from the datum and the rail's bottom edge.",
        f"{side}_rail.hole.NAME: aft up diameter",
    )
    for side in ("left", "right")
}
PINION = _station(
    "pinion",
    "Pinion, last joint",
    "Wheels carry the truck.  Brakes off, so that the axle is not held twisted.",
    f"pinion: {END}",
    "pinion: nose_up slope_on_wedge plan_angle",
    "A wedge, or its angle in top view?",
)
AXLE = _station(
    "axle",
    "Axle",
    "Its center: between the wheel hubs.",
    "axle: aft up track",
)
TRAVEL = _station(
    "travel",
    "Axle travel",
    "Bump: from the stop to where it is pressed solid.  Droop: on a lift by the frame, both wheels "
    "free, on rated stands; never under what only a jack holds.",
    "travel: droop bump",
    "travel: parked_low roll",
    "Does it park low on air, or lift one wheel?",
)
HEIGHTS = _station("heights", "Other heights", "As empty and loaded.", "heights")
HEIGHT = _station(
    "height", 'Height "NAME"', "Both wheels alike, from ride height.", "height.NAME: bump axle_load"
)
OBSTACLES = _station(
    "obstacles",
    "What is near",
    "Pipes, tank, cross parts, floor, brake and fuel lines, wiring: also behind the rail.",
    "obstacles",
)
OBSTACLE = _station(
    "obstacle",
    "NAME",
    "A pipe by its two ends, on its center line; anything else by two opposite corners of a box.",
    f"obstacle.NAME: kind pipe {BOX}",
    "obstacle.NAME: moves rides_on least_clearance",
    "Does it move, or ride on the axle?",
)
COMPLAINTS = _station("complaints", "On the road", "What the driver feels now.", "complaints")
COMPLAINT = _station(
    "complaint",
    "NAME",
    "Somebody else drives while one reads.",
    "complaint.NAME: speed frequency when load",
)
LEAF = (
    _station(
        "spring front",
        "Leaf spring, front eye to axle",
        "One side.  Halves run along the main leaf, from the eye to the center bolt.",
        "suspension: front_eye.aft front_eye.up front_half seat_above_axle rate",
        "suspension: spring_load half_rates arm_fraction spring_spacing wind_up wrap_control",
        "More of the spring, or a traction bar?",
    ),
    _station(
        "spring rear",
        "Leaf spring, axle to shackle",
        "Pivot: the shackle bolt at the frame.",
        "suspension: rear_half shackle_pivot.aft shackle_pivot.up shackle shackle_kind",
    ),
)
LINKS = tuple(
    _station(
        f"link {which}",
        f"{which.capitalize()} link",
        "One side, seen from the side: the bolts at both ends.",
        f"suspension: {which}_frame.aft {which}_frame.up {which}_axle.aft {which}_axle.up",
        "suspension: wind_up" if which == "upper" else "",
        "Is it measured how far the bushings let the axle turn?",
    )
    for which in ("lower", "upper")
)
FRAME_MOUNTED = _station(
    "mount",
    "Final drive on the frame",
    "The point about which it tips: between its mounts.",
    "suspension: mount.aft mount.up",
    "suspension: wind_up",
    "Is it measured how far torque tips it?",
)
READINGS = _station(
    "readings",
    "Pinion joint at other heights",
    "Raise or lower the axle by a few inches and read the joint again; on rated stands.",
    "readings",
    "suspension: wind_up",
    "Is it measured how far torque turns the pinion?",
)
READING = _station(
    "reading",
    "Pinion joint, reading N",
    "As at ride height.",
    f"suspension.reading.N: bump {END}",
)
GUIDES = {"leaf": LEAF, "links": LINKS, "frame mounted": (FRAME_MOUNTED,), "measured": (READINGS,)}

"""Random vehicles as scene texts: invented, plausible, from a seed; sound ones and mistaken ones.

Every vehicle is laid out from its joint angles and shaft lengths, then written down as a shop
would: places to a millimeter or a sixteenth, slopes to a tenth of a degree.  No source, never
evidence: they only ask whether what the program advises holds by its own words.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random

from sim.judge.rules import rule_sets

TUBES = (63.5, 76.2, 88.9, 101.6, 114.3)  # [mm], common outside diameters, from memory
SUSPENSIONS = ("leaf", "links", "frame mounted", "measured")
DEG = math.pi / 180


@dataclass(slots=True)
class Draft:
    """A vehicle while it is laid out; lengths in mm, angles in deg, places (aft, right, up)."""

    random: Random
    inch: bool
    pieces: int
    suspension: str
    slopes: list[float] = field(default_factory=list)  # output, shafts, pinion
    joints: list[tuple[float, float, float]] = field(default_factory=list)
    axle: tuple[float, float, float] = (0.0, 0.0, 0.0)
    bearings: list[list[float]] = field(default_factory=list)
    to_joint: float = 110.0
    tube: float = 76.2
    wall: float = 2.1
    top_speed: float = 120.0
    gap: float = 45.0
    engaged: float = 90.0
    least_engaged: float = 55.0
    wedge: float = 0.0
    phase: float = 0.0
    off_by: int = 0
    skew: float = 0.0
    bump: float = 70.0
    droop: float = 80.0
    pipe_aside: float = 230.0
    said: list[str] = field(default_factory=list)

    def length(self, mm: float, spread: float = 0.0) -> str:
        """Return a length as this shop writes it."""
        if not self.inch:
            return f"{mm:.0f} ± {spread:.0f} mm" if spread else f"{mm:.1f} mm"
        sixteenths = round(mm / 25.4 * 16)
        whole, part = divmod(sixteenths, 16)
        text = f"{whole}-{part}/16" if part and whole else f"{part}/16" if part else f"{whole}"
        return f"{text} ± 1/16 in" if spread else f"{text} in"

    def place(self, aft: float, right: float, up: float, *, spread: bool = True) -> str:
        """Return a place as lines of a table."""
        near, far = (2.0, 3.0) if spread else (0.0, 0.0)
        side = "right" if right >= 0 else "left"
        lines = [f'aft = "{self.length(aft, far)}"', f'up = "{self.length(up, near)}"']
        if round(abs(right)) or spread:
            lines.append(f'{side} = "{self.length(abs(right), near)}"')
        return "\n".join(lines)

    def point(self, aft: float, up: float, right: float = 0.0) -> str:
        """Return a place in braces."""
        return "{ " + ", ".join(self.place(aft, right, up, spread=False).splitlines()) + " }"


def random_scene(seed: int) -> str:
    """Return the text of a scene with one configuration.

    Args:
        seed: Gives the vehicle; the same seed gives the same text.

    Returns:
        The text of a valid scene.
    """
    random = Random(seed)
    draft = Draft(
        random=random,
        inch=random.random() < 0.35,
        pieces=random.choice((1, 2, 2, 2, 3)),
        suspension=random.choice(SUSPENSIONS),
    )
    _lay_out(draft)
    if seed % 5:  # every fifth one is sound
        for spoil in random.sample(SPOILS, random.choice((1, 1, 2))):
            spoil(draft)
    return _written(draft)


def _lay_out(d: Draft) -> None:
    """Lay the vehicle out from joint angles and shaft lengths."""
    r = d.random
    output = r.uniform(1.5, 4.0)
    rear = r.uniform(1.4, 2.6)
    if d.pieces == 1:
        bends, lengths = [rear], [r.uniform(1100, 1750)]
    elif d.pieces == 2:
        bends, lengths = [0.3, rear], [r.uniform(560, 1000), r.uniform(950, 1350)]
    else:
        small = r.uniform(1.1, 1.4)
        bends = [small, -small, rear]
        lengths = [r.uniform(800, 1250), r.uniform(800, 1250), r.uniform(1000, 1500)]
    slopes = [output]
    for bend in bends:
        slopes.append(slopes[-1] + bend)
    slopes.append(slopes[-1] - rear + r.uniform(-0.15, 0.15))
    d.slopes = slopes
    nose, drop, tire = r.uniform(300, 390), r.uniform(20, 38), r.uniform(330, 420)
    front = r.uniform(1400, 1800)
    aside = r.choice((0.0, 0.0, r.uniform(5, 20)))
    ends = [(front, 0.0, 0.0)]
    for length, slope in zip(lengths, slopes[1:-1], strict=True):
        aft, _, up = ends[-1]
        ends.append(
            (aft + length * math.cos(slope * DEG), 0.0, up - length * math.sin(slope * DEG))
        )
    pinion_up = tire + nose * math.sin(slopes[-1] * DEG) - drop
    rise, whole = pinion_up - ends[-1][2], ends[-1][0] - front
    d.joints = [(aft, aside * (aft - front) / whole, up + rise) for aft, _, up in ends]
    d.axle = (ends[-1][0] + nose, 0.0, tire)
    d.to_joint = r.uniform(90, 135)
    for number in range(1, d.pieces):
        (a0, y0, z0), (a1, y1, z1) = d.joints[number - 1 : number + 1]
        back = d.to_joint / lengths[number - 1]
        d.bearings.append([a1 + back * (a0 - a1), y1 + back * (y0 - y1), z1 + back * (z0 - z1)])
    d.top_speed = 5 * round(r.uniform(100, 150) / 5)
    d.tube = _tube(max(lengths), d.top_speed, tire)
    d.gap, d.engaged = r.uniform(36, 55), r.uniform(85, 110)
    d.bump, d.droop = r.uniform(45, 85), r.uniform(55, 95)
    d.pipe_aside = r.uniform(190, 260)


def _tube(length: float, top_speed: float, tire: float) -> float:
    """Return the common tube [mm] whose critical speed leaves half of itself free, or the largest.

    Pinned steel tube: (π/2) sqrt(E/ρ) sqrt(D² + d²)/(4 L²) turns a second, as in textbooks.
    """
    turns = top_speed / 3.6 / (6.44e-3 * tire) * 4.3
    for tube in TUBES:
        radius = math.hypot(tube, tube - 4.2) / 4 * 1e-3
        if math.pi / 2 * 5100 * radius / (length * 1e-3) ** 2 > 1.6 * turns:
            return tube
    return TUBES[-1]


# --- mistakes -----------------------------------------------------------------------------------


def _bearing_up(d: Draft) -> None:
    if d.bearings:
        d.random.choice(d.bearings)[2] += d.random.choice((-1, 1)) * d.random.uniform(5, 28)
        d.said.append("bearing hung at a wrong height")


def _bearing_aside(d: Draft) -> None:
    if d.bearings:
        d.random.choice(d.bearings)[1] += d.random.choice((-1, 1)) * d.random.uniform(6, 26)
        d.said.append("bearing hung aside")


def _pinion_turned(d: Draft) -> None:
    d.slopes[-1] += d.random.choice((-1, 1)) * d.random.uniform(1.0, 3.5)
    d.said.append("pinion turned")


def _wedge(d: Draft) -> None:
    d.wedge = d.random.choice((-1, 1)) * d.random.choice((1.0, 1.5, 2.0, 3.0))
    d.said.append("a wedge that nobody asked for")


def _little_gap(d: Draft) -> None:
    d.gap = d.random.uniform(1, 12)
    d.said.append("too little gap")


def _little_engaged(d: Draft) -> None:
    d.engaged = d.random.uniform(14, 60)
    d.said.append("too little engaged")


def _thin_tube(d: Draft) -> None:
    d.tube = TUBES[max(0, TUBES.index(d.tube) - 2)]
    d.said.append("a tube from the scrap heap")


def _too_fast(d: Draft) -> None:
    d.top_speed = 5 * round(d.top_speed * d.random.uniform(1.25, 1.7) / 5)
    d.said.append("driven faster than meant")


def _out_of_phase(d: Draft) -> None:
    d.phase = d.random.choice((-1, 1)) * d.random.choice((8, 20, 45, 88))
    d.said.append("yokes out of phase")


def _tooth_off(d: Draft) -> None:
    d.off_by = d.random.choice((-1, 1, 2))
    d.said.append("a tooth off")


def _askew(d: Draft) -> None:
    if d.bearings:
        d.skew = d.random.uniform(4, 9)
        d.said.append("bracket askew")


def _pipe_near(d: Draft) -> None:
    d.pipe_aside = d.random.uniform(85, 140)
    d.said.append("pipe near the shafts")


def _long_travel(d: Draft) -> None:
    d.bump, d.droop = d.bump * d.random.uniform(1.2, 1.6), d.droop * d.random.uniform(1.2, 1.7)
    d.said.append("more travel than usual")


SPOILS: list[Callable[[Draft], None]] = [
    _bearing_up,
    _bearing_aside,
    _pinion_turned,
    _wedge,
    _little_gap,
    _little_engaged,
    _thin_tube,
    _too_fast,
    _out_of_phase,
    _tooth_off,
    _askew,
    _pipe_near,
    _long_travel,
]


# --- written down -------------------------------------------------------------------------------


def _written(d: Draft) -> str:
    """Return the scene as text."""
    tables = [_head(d), _vehicle(d), _ends(d), _suspension(d), _obstacles(d), _hung(d)]
    return "\n".join(tables)


def _head(d: Draft) -> str:
    display = "inch" if d.inch else "metric"
    rules = d.random.choice(rule_sets())
    return f"""format = "halfturn scene 1"
title = "Random vehicle"
about = "{", ".join(d.said) or "as it should be"}"
datum = "front wheel center, ground, middle of the frame"
display = "{display}"
rules = "{rules}"
"""


def _vehicle(d: Draft) -> str:
    r = d.random
    speed = f"{round(d.top_speed / 1.609344)} mph" if d.inch else f"{d.top_speed:.0f} km/h"
    load = r.uniform(900, 1900)
    weighed = f"{load / 0.45359237:.0f} ± 60 lb" if d.inch else f"{load:.0f} ± 30 kg"
    torque = f"{r.uniform(180, 380):.0f} lbf ft" if d.inch else f"{r.uniform(250, 520):.0f} N m"
    return f"""[vehicle]
axle_ratio = "{r.choice((3.31, 3.73, 4.10, 4.56))} to 1"
tire_radius = "{d.length(d.axle[2], 4)}"
top_speed = "{speed}"
axle_load = "{weighed}"
engine_torque = "{torque}"
engine_cut_off = "{r.choice((4200, 4800, 5600))} rpm"
first_gear = "{r.choice((3.06, 3.59, 4.17))} to 1"
top_gear = "{r.choice((0.7, 0.75, 1.0))} to 1"
"""


def _ends(d: Draft) -> str:
    turned = "nose_up" if d.wedge > 0 else "nose_down"
    wedge = f'\n{turned} = "{abs(d.wedge):.1f} ± 0.2 deg"' if d.wedge else ""
    return f"""[output]
{d.place(*d.joints[0])}
slope = "{d.slopes[0]:.1f} ± 0.1 deg"

[pinion]
{d.place(*d.joints[-1])}
slope = "{d.slopes[-1]:.1f} ± 0.1 deg"{wedge}

[axle]
aft = "{d.length(d.axle[0])}"
up = "{d.length(d.axle[2])}"
track = "{d.length(1560)}"
"""


def _suspension(d: Draft) -> str:
    travel = f'[travel]\nbump = "{d.length(d.bump, 3)}"\ndroop = "{d.length(d.droop, 3)}"\n'
    body = {"leaf": _leaf, "links": _links, "frame mounted": _mount, "measured": _readings}
    return f'[suspension]\nkind = "{d.suspension}"\n{body[d.suspension](d)}\n{travel}'


def _leaf(d: Draft) -> str:
    r = d.random
    aft, _, up = d.axle
    front, rear, seat = r.uniform(570, 680), r.uniform(680, 800), r.uniform(80, 120)
    shackle = r.uniform(100, 125)
    rate = r.uniform(35, 80)
    said = f"{rate * 5.710147:.0f} lbf/in ± 20 %" if d.inch else f"{rate:.0f} N/mm ± 20 %"
    bar = r.choice(("", "", '\nwrap_control = "1200 N m/deg"'))
    return f"""front_eye = {d.point(aft - front, up + seat + 8)}
shackle_pivot = {d.point(aft + rear - 22, up + seat + shackle - 12)}
shackle = "{d.length(shackle)}"
front_half = "{d.length(front)}"
rear_half = "{d.length(rear)}"
seat_above_axle = "{d.length(seat)}"
rate = "{said}"{bar}
"""


def _links(d: Draft) -> str:
    r = d.random
    aft, _, up = d.axle
    lower, upper = r.uniform(560, 640), r.uniform(400, 470)
    return f"""lower_frame = {d.point(aft - lower, up - r.uniform(15, 45))}
lower_axle = {d.point(aft, up - 60)}
upper_frame = {d.point(aft - 30 - upper, up + r.uniform(110, 140))}
upper_axle = {d.point(aft - 30, up + 110)}
wind_up = "{r.uniform(2000, 3500):.0f} N m/deg ± 40 %"
"""


def _mount(d: Draft) -> str:
    aft, _, up = d.joints[-1]
    return f'mount = {d.point(aft + 215, up + 6)}\nwind_up = "3000 N m/deg ± 30 %"\n'


def _readings(d: Draft) -> str:
    aft, right, up = d.joints[-1]
    tables = ['wind_up = "1500 N m/deg ± 30 %"\n']
    for number, (way, size) in enumerate((("bump", d.bump), ("droop", d.droop)), start=1):
        sign = 1 if way == "bump" else -1
        far = size + 5
        slope = d.slopes[-1] - sign * 0.006 * far
        tables.append(f"""[suspension.reading.{number}]
{way} = "{d.length(far)}"
{d.place(aft - 0.0006 * far**2, right, up + sign * far)}
slope = "{slope:.1f} ± 0.1 deg"
""")
    return "\n".join(tables)


def _obstacles(d: Draft) -> str:
    (a0, _, z0), (a1, _, z1) = d.joints[0], d.joints[-1]
    start = d.point(a0 + 100, z0 - 60, d.pipe_aside)
    end = d.point(a1 - 100, z1 + 20, d.pipe_aside)
    pipe = d.length(60)
    text = f'[obstacle."exhaust pipe"]\nfrom = {start}\nto = {end}\n'
    return text + f'pipe = "{pipe}"\nkind = "exhaust"\n'


def _hung(d: Draft) -> str:
    r = d.random
    lines = ["[configuration.only]"]
    wall = "0.083 in" if d.inch else f"{d.wall} mm"
    outside = f"{d.tube / 25.4:g} in" if d.inch else f"{d.tube} mm"
    out = r.randint(1, d.pieces)
    for number in range(1, d.pieces + 1):
        lines.append(f'shaft.{number}.tube = {{ outside = "{outside}", wall = "{wall}" }}')
        if d.phase and number == out:
            lines.append(f'shaft.{number}.phase = "{d.phase} deg"')
    lines += _second_readings(d)
    for number, (aft, right, up) in enumerate(d.bearings, start=1):
        lines.append(f"\n[configuration.only.bearing.{number}]")
        lines.append(d.place(aft, right, up))
        lines.append(f'to_joint = "{d.length(d.to_joint)}"')
        if d.skew and number == 1:
            lines.append(f'skew = "{d.skew:.0f} deg"')
    lines.append("\n[configuration.only.spline]")
    at = r.choice(("output" if d.pieces == 1 else "midship", "shaft"))
    lines += [
        f'at = "{at}"',
        'teeth = "16 teeth"',
        f'gap = "{d.length(d.gap, 1)}"',
        f'engaged = "{d.length(d.engaged, 2)}"',
        f'least_engaged = "{d.length(min(d.least_engaged, 0.9 * (d.gap + d.engaged)))}"',
    ]
    if d.off_by:
        lines.append(f'off_by = "{d.off_by} teeth"')
    return "\n".join(lines) + "\n"


def _second_readings(d: Draft) -> list[str]:
    """Return the first shaft's length or slope now and then, as the places give them."""
    chance = d.random.random()
    joint = list(d.joints[1])
    if d.bearings:
        front, hung = d.joints[0], d.bearings[0]
        share = 1 + d.to_joint / math.dist(front, hung)
        joint = [a + share * (b - a) for a, b in zip(front, hung, strict=True)]
    if d.pieces == 1 and d.wedge:
        return []  # what was read before the wedge went in says nothing of the shaft on it
    if chance < 0.15:
        far = math.dist(d.joints[0], joint)
        said = f"{far / 25.4:.2f} ± 0.2 in" if d.inch else f"{far:.0f} ± 5 mm"
        return [f'shaft.1.length = "{said}"']
    if chance < 0.30:
        (a0, y0, z0), (a1, y1, z1) = d.joints[0], joint
        slope = math.degrees(math.atan2(z0 - z1, math.hypot(a1 - a0, y1 - y0)))
        return [f'shaft.1.slope = "{slope:.1f} ± 0.1 deg"']
    return []

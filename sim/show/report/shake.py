"""The chapter on shake over road speed: pictures, launch shudder, what the slider reads out."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from importlib.resources import files
from math import pi
from typing import Any

import numpy as np
from markupsafe import Markup

from sim.arrays import Array
from sim.display import HERTZ, SHAFT_SPEED, Display
from sim.explore.shaken import Course
from sim.explore.shaken_bands import (
    Band,
    LaunchShudder,
    largest_band,
    launch_shudders,
    place_band,
)
from sim.measure.shake.swept import swept_amplification
from sim.measure.shake.unknown import UNKNOWNS
from sim.motion.states import State
from sim.scene.parts import Vehicle
from sim.show.plots.shake import Chart
from sim.show.report.pages import Picture, Table
from sim.show.report.pictures import data_address
from sim.show.shake_view import Asked, Shown, shaft_speed

DIGITS = 3  # that a force is told with, at the most
AXLES = (
    2.0  # times the load on the driven axle: what the vehicle weighs; common practice, no source
)
GRAVITY = 9.80665  # [m/s²], standard: CGPM 1901
RUBBER_LOSS = next(one.usual for one in UNKNOWNS if one.name == "rubber loss")
CAUSES = {1: "unbalance and bow", 2: "the joints"}
READ = (
    "Force, zero to peak, that the shafts hand to gearbox (output), brackets (bearing) and axle "
    "(pinion). The line is as read; gearbox and axle are held rigidly or hang on springs, and the "
    "line is the one that gives more: the truth lies between. Shaded: 5 to 95 % of 200 draws of "
    "every reading's ± and of what nobody measures (rubber, losses, unbalance, bow, gearbox and "
    "axle on their springs), from the lower of both kinds of ends to the higher. Near a bending "
    "shaft the newtons follow a loss that nobody knows within ten to one: compare the "
    "configurations. How it feels on the seat is not told."
)


@dataclass(frozen=True, slots=True)
class ShakePicture:
    """One picture with its sentence, and the edges of its panels [% of its width and height]."""

    title: str
    picture: Picture
    sentence: str
    left: float
    right: float
    top: float
    bottom: float
    first: float  # road speed at the left edge [unit shown]
    last: float


@dataclass(frozen=True, slots=True)
class ShakePage:
    """Everything that the chapter holds."""

    pictures: tuple[ShakePicture, ...]
    places: tuple[tuple[str, tuple[str, ...]], ...]  # of every configuration, by its name
    launch: Table | None
    read: str
    first: int  # ends of the slider [unit shown]
    last: int
    start: int
    unit: str
    force: str
    data: Markup  # JSON for the script
    script: Markup

    @property
    def digest(self) -> str:
        """What the page's policy names the script by (CSP, level 2)."""
        return "sha256-" + b64encode(sha256(self.script.encode()).digest()).decode()


def shake_page(
    charts: Sequence[Chart], shown: Sequence[Shown], display: Display
) -> ShakePage | None:
    """Return the chapter, or None where no picture was drawn.

    Args:
        charts: One a question.
        shown: The configurations in them.
        display: Units shown.
    """
    if not charts:
        return None
    vehicle = shown[0].shake.configuration.vehicle
    last = int(display.speed.of(vehicle.top_speed) + 1e-6)
    felt = [c.speed for c in shown[0].shake.configuration.complaints if c.speed is not None]
    data = slider_data([chart.asked for chart in charts], shown, display)
    start = min(max(round(display.speed.of(felt[0])) if felt else last // 2, 1), last)
    return ShakePage(
        pictures=tuple(_picture(chart, display) for chart in charts),
        places=tuple((one.name, one.shake.places) for one in shown),
        launch=launch_table(shown, display),
        read=READ,
        first=1,
        last=last,
        start=start,
        unit=display.speed.name,
        force=display.force.name,
        data=Markup(json.dumps(data, separators=(",", ":")).replace("<", r"\u003c")),
        script=Markup(files("sim.show.report").joinpath("slider.js").read_text(encoding="utf-8")),
    )


def _picture(chart: Chart, display: Display) -> ShakePicture:
    """Return one picture with its sentence."""
    asked = chart.asked
    sentence = _sentence(asked, display)
    low, high = (display.speed.of(end) for end in asked.ends)
    svg = next(path for path in chart.files if path.suffix == ".svg")
    return ShakePicture(
        title=asked.question.title,
        picture=Picture(data_address(svg), f"{asked.question.title}. {sentence}", plot=True),
        sentence=sentence,
        left=round(100 * chart.left, 3),
        right=round(100 * chart.right, 3),
        top=round(100 * chart.top, 3),
        bottom=round(100 * chart.bottom, 3),
        first=round(low, 4),
        last=round(high, 4),
    )


def _sentence(asked: Asked, display: Display) -> str:
    """Return where each configuration hands on most, in a sentence."""
    told = []
    for shown, course in asked.courses:
        band, place = largest_band(course)
        at = int(band.read.argmax())
        told.append(
            f"{shown.name} {band_words(band, display, at)} "
            f"at the {shown.shake.places[place[at]]} at {display.speed.say(course.speed[at])}"
        )
    return f"By {CAUSES[asked.question.order]}, {asked.height}; most: {'; '.join(told)}."


def band_words(band: Band, display: Display, at: int | None = None) -> str:
    """Return a force as read with its band, as in "180 N (64 to 630)".

    Args:
        band: The force [N].
        display: Units shown.
        at: Number of the road speed, or None for one number.
    """
    read, low, high = (
        _digits(display.force.of(float(one if at is None else one[at])))
        for one in (band.read, band.low, band.high)
    )
    return f"{_text(read)} {display.force.name} ({_text(low)} to {_text(high)})"


def _text(number: float) -> str:
    return f"{number:.{0 if number >= 10 else 1}f}"


def _digits(number: float) -> float:
    """Return a number with as many digits as a force is told with, whole where it can be."""
    rounded = float(f"{number:.{DIGITS}g}")
    return int(rounded) if rounded == int(rounded) else rounded


def launch_table(shown: Sequence[Shown], display: Display) -> Table | None:
    """Return the launch shudder of every configuration at every height, or None without a launch.

    Args:
        shown: The configurations.
        display: Units shown.
    """
    rows = [
        _launch_row(one, shudder, display)
        for one in shown
        for shudder in launch_shudders(one.shake)
    ]
    if not rows:
        return None
    force, speed, swing = display.force.name, display.speed.name, display.length.name
    return Table(
        "Launch shudder: twice per turn at hard launch, the most within 5 to 50 km/h",
        (
            "configuration, height",
            f"at the bracket [{force}]",
            f"at [{speed}]",
            f"passed quickly [{force}]",
            f"bearing swings, of free [{swing}]",
            f"at the pinion [{force}]",
        ),
        tuple(rows),
        "In brackets 5 to 95 % as above. Where the bearing swings farther than its rubber is free "
        "(free_travel of the scene), it knocks on its stop, and the force is more than told. "
        "Passed quickly: at full launch the bounce has no time to build up; the vehicle taken to "
        f"weigh {AXLES:g} times its driven axle (common practice, no source). Steady values are "
        "the upper bound: uphill, towing, creeping.",
    )


def _launch_row(shown: Shown, shudder: LaunchShudder, display: Display) -> tuple[str, ...]:
    """Return one row of the launch shudder."""
    head, pinion = f"{shown.name}, {shudder.height}", _band(shudder.pinion, display.force.size)
    if shudder.bearing is None or not (shudder.force and shudder.speed and shudder.swing):
        return (head, "no bracket", "–", "–", "–", pinion)
    course = shown.shake.course(shudder.height, "hard launch", 2)
    assert course is not None, "the shudder was read from it"
    share = swept_share(course.state, shown, shudder.bearing)
    swept = "–" if share is None else _text(display.force.of(share * float(shudder.force.read)))
    swing = _band(shudder.swing, display.length.size, display.length.digits)
    free = shown.shake.configuration.bearings[shudder.bearing].free_travel
    return (
        head,
        _band(shudder.force, display.force.size),
        _band(shudder.speed, display.speed.size),
        swept,
        f"{swing}, of {display.length.number(free)}",
        pinion,
    )


def _band(band: Band, size: float, digits: int = 0) -> str:
    read, low, high = (
        f"{float(one) / size:.{digits}f}" for one in (band.read, band.low, band.high)
    )
    return f"{read} ({low} to {high})"


def swept_share(state: State, shown: Shown, bearing: int) -> float | None:
    """Return the share of its steady swing that a bearing reaches as a launch runs through it.

    Args:
        state: The launch.
        shown: The configuration.
        bearing: Its number, from 0.

    Returns:
        The share [-]; None where the weight of the vehicle is not known.
    """
    vehicle: Vehicle = shown.shake.configuration.vehicle
    load = state.axle_load or vehicle.axle_load
    if load is None:
        return None
    radius = vehicle.tire_circumference / (2 * pi)
    gains = state.wheel_torque / radius / (AXLES * load / GRAVITY)  # [m/s²]
    rate = 4 * pi * vehicle.axle_ratio * gains / vehicle.tire_circumference
    own = float(shown.shake.bounce[0, bearing])
    return float(swept_amplification(RUBBER_LOSS, own, rate)) * RUBBER_LOSS


def slider_data(
    questions: Sequence[Asked], shown: Sequence[Shown], display: Display
) -> dict[str, Any]:
    """Return what the slider reads out at every whole road speed.

    Args:
        questions: What the pictures ask.
        shown: The configurations in them.
        display: Units shown.

    Returns:
        ``rpm`` and ``hz`` of the shafts per unit of road speed; ``rows``, one a place of a
        configuration: ``name``, ``place``, ``force``, by question null or the first whole road
        speed, and from there on the forces as read, low and high.
    """
    vehicle = shown[0].shake.configuration.vehicle
    turning = float(shaft_speed(vehicle, np.array(display.speed.size)))
    rows = []
    for one in shown:
        courses = [dict(asked.courses).get(one) for asked in questions]
        for number, place in enumerate(one.shake.places):
            forces = [course and _forces(course, number, display) for course in courses]
            rows.append({"name": one.name, "place": place, "force": forces})
    return {
        "unit": display.speed.name,
        "rpm": float(f"{turning / SHAFT_SPEED.size:.7g}"),
        "hz": float(f"{turning / HERTZ.size:.7g}"),
        "rows": rows,
    }


def _forces(course: Course, place: int, display: Display) -> list[Any]:
    """Return the forces of one place at whole road speeds, from the first of them on."""
    speed = display.speed.of(1) * course.speed
    whole = np.abs(speed - np.rint(speed)) < 1e-6
    band = place_band(course, place)

    def told(values: Array) -> list[float]:
        return [_digits(display.force.of(float(value))) for value in values[whole]]

    return [round(float(speed[whole][0])), told(band.read), told(band.low), told(band.high)]

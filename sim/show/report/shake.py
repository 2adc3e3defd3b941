"""The chapter on shake over road speed: pictures, launch shudder, what the slider reads out."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from importlib.resources import files
from typing import Any

import numpy as np
from markupsafe import Markup

from sim.arrays import Array
from sim.display import HERTZ, SHAFT_SPEED, Display
from sim.explore.felt import Felt
from sim.explore.shaken import DRAWS, Course
from sim.explore.shaken_bands import (
    band_of,
    largest_band,
    place_band,
)
from sim.show.felt_words import felt_lines, felt_title
from sim.show.plots.shake import Chart
from sim.show.report.launch import band_words, digits, launch_table
from sim.show.report.pages import Picture, Table
from sim.show.report.pictures import plot_of
from sim.show.report.twisting import twist_table
from sim.show.shake_view import Asked, Shown, shaft_speed

CAUSES = {1: "unbalance and bow", 2: "the joints"}
READ = (
    "Force, zero to peak, that the shafts hand to gearbox (output), brackets (bearing) and axle "
    "(pinion). The line is as read; gearbox and axle are held rigidly or hang on springs, and the "
    f"line is the one that gives more: the truth lies between. Shaded: 5 to 95 % of {DRAWS} draws "
    "of every reading's ± and of what nobody measures (rubber, losses, unbalance, bow, gearbox and "
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

    felt: tuple[tuple[str, tuple[str, ...]], ...]  # what is felt, and the lines of its answer
    pictures: tuple[ShakePicture, ...]
    places: tuple[tuple[str, tuple[str, ...]], ...]  # of every configuration, by its name
    launch: Table | None
    twist: Table | None
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
    charts: Sequence[Chart],
    shown: Sequence[Shown],
    display: Display,
    answers: Sequence[Felt] = (),
) -> ShakePage | None:
    """Return the chapter, or None where no picture was drawn.

    Args:
        charts: One a question.
        shown: The configurations in them.
        display: Units shown.
        answers: To the complaints of the scene.
    """
    if not charts:
        return None
    vehicle = shown[0].shake.configuration.vehicle
    last = int(display.speed.of(vehicle.top_speed) + 1e-6)
    asked = [c.speed for c in shown[0].shake.configuration.complaints if c.speed is not None]
    data = slider_data([chart.asked for chart in charts], shown, display)
    start = min(max(round(display.speed.of(asked[0])) if asked else last // 2, 1), last)
    return ShakePage(
        felt=tuple((felt_title(one, display), tuple(felt_lines(one, display))) for one in answers),
        pictures=tuple(_picture(chart, display) for chart in charts),
        places=tuple((one.name, one.shake.places) for one in shown),
        launch=launch_table(shown, display),
        twist=twist_table(shown, display),
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
        picture=Picture(sentence, plot=plot_of(svg, f"{asked.question.title}. {sentence}")),
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
        for among in _places(asked, course):
            band, place = largest_band(course, among)
            at = int(band.read.argmax())
            most = band_of(course.force[..., among].max(axis=(-1, -2)))
            told.append(
                f"{shown.name} {band_words(most, display)} at the "
                f"{shown.shake.places[place[at]]} at {display.speed.say(course.speed[at])}"
            )
    return f"By {CAUSES[asked.question.order]}, {asked.height}; most: {'; '.join(told)}."


def _places(asked: Asked, course: Course) -> tuple[slice, ...]:
    """Return which places a sentence tells apart: as the panels of the picture do."""
    if asked.question.situation == "cruise":
        return (slice(None),)
    pinion = len(course.force[0, 0, 0]) - 1
    brackets = (slice(1, pinion),) if pinion > 1 else ()
    return (*brackets, slice(pinion, None))


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
        return [digits(display.force.of(float(value))) for value in values[whole]]

    return [round(float(speed[whole][0])), told(band.read), told(band.low), told(band.high)]

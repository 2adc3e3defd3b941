"""Readings that contradict each other, against adjustment done anew, with no shared formula.

The program uses conditions and normalised residuals in closed form (Baarda 1968, from memory).
Here the same is found by brute force: every reading in turn is set free, everything else is
adjusted by a general least-squares solver (SciPy), and the misfits are compared.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import least_squares

from sim.measure.contradictions import CrossCheck, check_readings
from sim.scene.parts import Configuration
from sim.scene.reader import read_scene

TEXT = (Path(__file__).parents[2] / "scenes" / "mistakes" / "sound_read_twice.toml").read_text()
DEG = math.pi / 180
BAND = 1.959963985  # 97.5 % point of the normal distribution, any table
LEVEL = ("output.slope", "pinion.slope", "pinion.slope_on_wedge", "shaft.2.slope")


def configuration(*edits: tuple[str, str]) -> Configuration:
    text = TEXT
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return read_scene(text.encode()).configurations[0]


def checked(*edits: tuple[str, str]) -> CrossCheck:
    found = check_readings(configuration(*edits))
    assert found is not None
    return found


def readings(c: Configuration) -> dict[str, tuple[float, float]]:
    """Return value and standard deviation of the readings that matter here."""
    names = [
        "frame.slope",
        "output.up",
        "output.slope",
        "output.as_designed.up",
        "output.as_designed.slope",
        "pinion.aft",
        "pinion.up",
        "pinion.slope",
        "pinion.nose_up",
        "pinion.slope_on_wedge",
        "bearing.1.up",
        "shaft.2.slope",
    ]
    return {name: (c.readings[name].value, c.readings[name].spread / BAND) for name in names}


def expected(x: dict[str, float]) -> dict[str, float]:
    """Return what every reading would show, for true places and slopes, in side view.

    The truck's sides are left out: 6 mm over 1134 mm change a slope by a few thousandths of it.
    """
    turn = x["pinion.nose_up"]
    axle = np.array([3.990, 0.395])
    arm = np.array([x["pinion.aft"], x["pinion.up"]]) - axle
    c, s = math.cos(turn), math.sin(turn)
    pinion = axle + np.array([[c, s], [-s, c]]) @ arm
    output = np.array([1.745, x["output.up"]])
    bearing = np.array([2.395, x["bearing.1.up"]])
    along = (bearing - output) / math.hypot(*(bearing - output))
    joint = bearing + 0.115 * along
    shown = {
        **x,
        "output.as_designed.up": x["output.up"],
        "output.as_designed.slope": x["output.slope"],
        "pinion.slope_on_wedge": x["pinion.slope"] + turn,
        "shaft.2.slope": math.atan2(joint[1] - pinion[1], pinion[0] - joint[0]),
    }
    return {k: v + (x["frame.slope"] if k in LEVEL else 0.0) for k, v in shown.items()}


def misfit(c: Configuration, free: str = "") -> tuple[float, float]:
    """Return the least weighted squares, one reading set free, and by how much that one is out."""
    given = readings(c)
    second = {"output.as_designed.up", "output.as_designed.slope", "pinion.slope_on_wedge"}
    second |= {"shaft.2.slope"}
    unknown = [name for name in given if name not in second]
    frame = given["frame.slope"][0]
    start = np.array([given[n][0] - (frame if n in LEVEL else 0.0) for n in unknown])
    scale = np.array([given[n][1] for n in unknown])

    def shown(x: np.ndarray) -> dict[str, float]:
        return expected(dict(zip(unknown, start + scale * x, strict=True)))

    def residuals(x: np.ndarray) -> np.ndarray:
        show = shown(x)
        return np.array([(given[n][0] - show[n]) / given[n][1] for n in given if n != free])

    found = least_squares(residuals, np.zeros(len(unknown)), xtol=1e-14, ftol=1e-14, gtol=1e-14)
    out = given[free][0] - shown(found.x)[free] if free else 0.0
    return float(2 * found.cost), out


MOVES = [
    ("output.up", 'up = "568 ± 2 mm"', 'up = "{} ± 2 mm"', 568, -13, 1e-3),
    ("frame.slope", 'slope = "-1.2 ± 0.1 deg', 'slope = "{} ± 0.1 deg', -1.2, 2.4, DEG),
    ("pinion.up", 'up = "421 ± 2 mm"', 'up = "{} ± 2 mm"', 421, 20, 1e-3),
    ("shaft.2.slope", 'slope = "3.8 ± 0.1 deg', 'slope = "{} ± 0.1 deg', 3.8, -1.5, DEG),
    ("pinion.slope_on_wedge", '_wedge = "1.8 ±', '_wedge = "{} ±', 1.8, -3.0, DEG),
    (
        "output.slope",
        'slope = "1.8 ± 0.1 deg to level"\nas',
        'slope = "{} ± 0.1 deg to level"\nas',
        1.8,
        2,
        DEG,
    ),
]


@pytest.mark.parametrize(("path", "old", "new", "value", "moved", "unit"), MOVES)
def test_misfit_and_error_are_those_of_a_full_adjustment(
    path: str, old: str, new: str, value: float, moved: float, unit: float
) -> None:
    edit = (old, new.format(round(value + moved, 3)))
    found, c = checked(edit), configuration(edit)
    whole, _ = misfit(c)
    assert found.misfit == pytest.approx(whole, rel=0.02)
    for suspect in found.suspects:
        if suspect.path not in readings(c):
            continue
        left, out = misfit(c, suspect.path)
        # taking a reading out lowers the misfit by its normalised residual squared
        assert suspect.residual**2 == pytest.approx(whole - left, rel=0.02)
        assert suspect.error == pytest.approx(out, rel=0.02, abs=1e-4)


@pytest.mark.parametrize(("path", "old", "new", "value", "moved", "unit"), MOVES)
def test_no_reading_explains_more_than_the_suspects(
    path: str, old: str, new: str, value: float, moved: float, unit: float
) -> None:
    edit = (old, new.format(round(value + moved, 3)))
    found, c = checked(edit), configuration(edit)
    whole, _ = misfit(c)
    most = max(whole - misfit(c, name)[0] for name in readings(c))
    assert max(s.residual for s in found.suspects) ** 2 == pytest.approx(most, rel=0.03)


@pytest.mark.parametrize(("path", "old", "new", "value", "moved", "unit"), MOVES)
def test_the_reading_that_was_moved_is_among_the_suspects_by_as_much(
    path: str, old: str, new: str, value: float, moved: float, unit: float
) -> None:
    found = checked((old, new.format(round(value + moved, 3))))
    suspect = next(s for s in found.suspects if s.path == path)
    assert suspect.error == pytest.approx(moved * unit, abs=0.1 * abs(moved * unit))
    assert suspect.residual > 3


def test_a_clean_set_of_readings_has_no_suspect_worth_naming() -> None:
    found = checked()
    assert found.misfit < 1
    assert all(s.residual < 1 and not s.turned for s in found.suspects)


def test_readings_drawn_from_their_own_bands_contradict_no_oftener_than_chance() -> None:
    c = configuration()
    random = np.random.default_rng(7)
    plain = readings(c)
    draws = 400
    beyond = 0
    for _ in range(draws):
        edits = dict(c.readings)
        for name, (value, sigma) in plain.items():
            drawn = value + sigma * random.standard_normal()
            edits[name] = replace(edits[name], value=drawn)
        found = check_readings(replace(c, readings=edits))
        assert found is not None
        # four misclosures: chi squared with 4 degrees, 95 % point 9.488 (any table)
        beyond += found.misfit > 9.488
    assert beyond / draws == pytest.approx(0.05, abs=0.03)


def test_nothing_is_said_where_nothing_was_read_twice() -> None:
    text = (Path(__file__).parents[2] / "scenes" / "orchard_service_truck.toml").read_text()
    assert check_readings(read_scene(text.encode()).configurations[1]) is None

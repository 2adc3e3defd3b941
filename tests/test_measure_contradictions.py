"""Readings taken twice: what they should show is what the exact route shows."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sim.measure.contradictions import check_readings
from sim.motion.frames import slope_of
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration, Reading
from sim.scene.reader import load_scene, read_scene

SCENES = Path(__file__).parent.parent / "scenes"
CASES = [
    (path.stem, c.name)
    for path in sorted(SCENES.glob("*.toml"))
    for c in load_scene(path).configurations
    if c.cut_as is None and not any(b.planned for b in c.bearings)  # nobody read a slope on paper
]


def with_tube_slopes(c: Configuration, off: float = 0.0) -> Configuration:
    """Return a configuration with a slope read along every tube, as the exact route has it."""
    ride = next(s for s in sweep_states(c, 2) if s.label == "ride height, no torque")
    axis = solve(c, states=[ride], turn_angle=[0.0, 1.0]).axis[0, 0, 1:-1]
    read = {
        f"shaft.{n}.slope": Reading(
            path=f"shaft.{n}.slope",
            value=float(slope) + off * (n == 1),
            spread=np.deg2rad(0.1),
            text="as read",
            status="measured",
            line=1,
        )
        for n, slope in enumerate(slope_of(axis), start=1)
    }
    return replace(c, readings={**c.readings, **read})


@pytest.mark.parametrize(("scene", "name"), CASES)
def test_tube_slopes_follow_from_the_places(scene: str, name: str) -> None:
    c = with_tube_slopes(load_scene(SCENES / f"{scene}.toml").configuration(name))
    found = check_readings(c)
    assert found is not None
    assert len(found.second) == len(c.shafts)
    assert found.misfit < 1e-6


@pytest.mark.parametrize(("scene", "name"), CASES)
def test_a_tube_slope_that_is_out_is_a_suspect(scene: str, name: str) -> None:
    off = np.deg2rad(2.0)
    c = with_tube_slopes(load_scene(SCENES / f"{scene}.toml").configuration(name), off)
    found = check_readings(c)
    assert found is not None
    suspect = next(s for s in found.suspects if s.path == "shaft.1.slope")
    assert suspect.error == pytest.approx(off, rel=1e-3)
    assert suspect.residual > 3


def test_two_heights_alone_cannot_be_told_apart() -> None:
    text = (SCENES / "mistakes" / "sound_leaf_truck.toml").read_text("utf-8")
    text = text.replace("[pinion] ", 'as_designed = { up = "560 ± 2 mm" }\n\n[pinion] ', 1)
    (c,) = read_scene(text.encode()).configurations
    found = check_readings(c)
    assert found is not None
    assert found.suspects[0].path == "output.up"
    assert found.suspects[0].error == pytest.approx(0.008)
    assert [s.path for s in found.suspects] == ["output.up", "output.as_designed.up"]
    assert found.apart == pytest.approx((-0.008,))
    # two readings of ± 2 mm each, 95 %: √2 · 2 mm / 1.96
    assert found.expected == pytest.approx((1.4142136 * 0.002 / 1.959964,))

"""Duty, torsion data, life ratings and tube certificates, from the file to the parts."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sim.scene.parts import Configuration, Duty, Torsion
from sim.scene.reader import read_scene

CHASSIS = (Path(__file__).parent.parent / "scenes" / "long_three_piece_chassis.toml").read_text(
    "utf-8"
)


def built(old: str = "", new: str = "") -> Configuration:
    """Build the three-piece chassis with one edit."""
    assert old in CHASSIS
    return read_scene(CHASSIS.replace(old, new, 1).encode()).configuration("three-piece")


def test_the_duty_keeps_its_order_and_its_own_road_speed() -> None:
    duties = built().duties
    assert duties[0] == Duty(
        name="on the road",
        share=pytest.approx(0.845),
        case="cruise",
        height="loaded",
        road_speed=pytest.approx(85 / 3.6),
    )
    assert [(d.name, d.case, d.road_speed) for d in duties[1:]] == [
        ("engine braking", "engine braking", None),
        ("pulling away", "hard launch", None),
    ]


def test_torsion_data_come_in_si_units_and_name_what_is_missing() -> None:
    torsion = built().torsion
    assert torsion.half_shaft_stiffness == pytest.approx(640 * 180 / np.pi)
    assert (torsion.engine_inertia, torsion.axle_inertia, torsion.gear) == (1.1, 0.06, 1.0)
    assert torsion.missing == ()
    assert built('gear = "1 to 1"\n').torsion.missing == ("gear",)
    assert Torsion().missing == ("engine_inertia", "axle_inertia", "half_shaft_stiffness", "gear")


def test_a_rating_for_life_keeps_its_basis() -> None:
    joints = built().joints
    assert [joint.life_rating for joint in joints] == [None, 1900.0, 1900.0, None]
    assert [joint.rated_torque for joint in joints] == [None, 5600.0, 5600.0, None]
    assert joints[1].life_basis == "5000 h at 3 deg and 100 rpm"
    assert joints[0].life_basis is None


def test_a_certificate_belongs_to_its_tube_and_a_least_life_to_the_shop() -> None:
    wall = 'wall = "3.0 mm" }'
    tubes = [s.tube for s in built(wall, 'wall = "3.0 mm", yield_stress = "60 ksi" }').shafts]
    assert tubes[0].yield_stress == pytest.approx(413.685e6, rel=2e-6)
    assert tubes[1].yield_stress is None
    limits = built("[spline]", '[limits]\njoint_life = "300000 km"\n\n[spline]').limits
    assert limits.joint_life == 300_000_000
    assert limits.set_by_shop == {"joint_life"}


def test_the_spline_has_its_diameter_and_coating() -> None:
    spline = built().spline
    assert (spline.diameter, spline.coating) == (pytest.approx(0.046), "plastic coated")
    assert built('coating = "plastic coated"\n').spline.coating == "greased steel"

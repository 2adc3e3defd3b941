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


def test_unbalance_and_runout_belong_to_the_shafts_they_were_read_on() -> None:
    # ounce: 28.349523 g (NIST SP 811, appendix B); 2 oz in is 2 * 28.349523 g * 25.4 mm
    read = 'unbalance = "2 ± 0.5 oz in"\nrunout = "0.4 ± 0.05 mm"\n'
    cut = '\n[configuration.{}]\n{} = "three-piece"\nbearing.1.up = "{} mm"\n'
    text = CHASSIS.rstrip() + "\n[configuration.three-piece.shaft.2]\n" + read
    text += cut.format("again", "same_shafts_as", 600) + cut.format("anew", "like", 600)
    scene = read_scene(text.encode())
    whole, again, anew = map(scene.configuration, ("three-piece", "again", "anew"))
    assert whole.shafts[1].unbalance == pytest.approx(2 * 28.349523e-3 * 25.4e-3, rel=1e-6)
    assert whole.shafts[1].runout == pytest.approx(0.4e-3)
    assert whole.readings["shaft.2.unbalance"].spread == pytest.approx(720.08e-6 * 0.5, rel=1e-4)
    assert whole.readings["shaft.2.runout"].spread == pytest.approx(0.05e-3)
    assert (whole.shafts[0].unbalance, whole.shafts[0].runout) == (None, None)
    assert again.shafts[1].runout == whole.shafts[1].runout
    assert (anew.shafts[1].unbalance, anew.shafts[1].runout) == (None, None)


def test_a_place_on_paper_and_the_travel_of_its_rubber_are_kept() -> None:
    plain = built().bearings
    assert [(b.planned, b.free_travel) for b in plain] == [(False, 0.005)] * len(plain)
    joint = 'up = "605 ± 2 mm", to_joint = "140 mm"'
    planned = built(joint, joint + ', planned = true, free_travel = "8 mm"').bearings
    assert (planned[0].planned, planned[0].free_travel) == (True, 0.008)
    assert not planned[1].planned
    tried = read_scene(CHASSIS.encode(), changes=["bearing.2.planned = true"])
    assert [b.planned for b in tried.configuration("three-piece").bearings] == [False, True]
    assert "bearing 2, planned true" in " ".join(
        read_scene(
            (
                CHASSIS + '\n[configuration.new]\nlike = "three-piece"\nbearing.2.planned = true\n'
            ).encode()
        )
        .configuration("new")
        .differences
    )


def test_a_complaint_keeps_the_configuration_it_is_felt_in() -> None:
    shake = '\n[complaint.boom]\nspeed = "80 km/h"\n'
    head, rest = CHASSIS.split("[vehicle]", 1)
    for said, felt_in in (("", None), ('felt_in = "three-piece"\n', "three-piece")):
        scene = read_scene(f"{head}{shake}{said}\n[vehicle]{rest}".encode())
        assert scene.configurations[0].complaints[0].felt_in == felt_in


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

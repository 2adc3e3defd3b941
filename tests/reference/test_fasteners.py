"""Tightening torques: every value once more beside its source, and against stress areas."""

from __future__ import annotations

import pytest

from sim.judge.fasteners import bolt_torques, torques_of

LBF_FT = 4.4482216152605 * 0.3048  # NIST SP 811

# SAE J1701, March 1999 (in a machine's manual): 5/16 to 5/8, grade 5 / grade 8 [N m].
J1701 = {
    "5/16-24": (26, 37),
    "3/8-24": (47, 67),
    "7/16-20": (75, 106),
    "1/2-20": (115, 163),
    "9/16-18": (164, 232),
    "5/8-18": (230, 325),
}
# Grade 8 at 75 % of proof, a fastener seller's chart: dry / oiled [lbf ft].
PROOF = {
    "3/8-16": (44, 33),
    "3/8-24": (49, 37),
    "7/16-14": (70, 52),
    "1/2-13": (106, 80),
    "1/2-20": (120, 90),
    "5/8-11": (212, 159),
}
# SAE J1701M, July 1996: class 8.8 / 10.9 [N m].
J1701M = {"M8": (20, 27), "M10": (39, 54), "M12": (68, 94), "M14": (109, 151), "M16": (169, 234)}
# MTU tightening norm 2014, oiled, friction 0.125: class 8.8 / 10.9 [N m].
NORM = {"M8": (21, 31), "M10": (42, 60), "M12": (74, 100), "M14": (115, 160), "M16": (180, 250)}
# Truck service manual reprinted in TM 5-4210-230-14&P-1: flange bolts, grade 8 [N m].
FLANGE = {"5/16-24": (30, 33), "3/8-24": (54, 60), "7/16-20": (85, 95), "1/2-20": (133, 146)}


def restated() -> dict[tuple[str, str, str], tuple[float, float]]:
    """Return (table, grade, bolt) to both ends [N m]."""
    rows: dict[tuple[str, str, str], tuple[float, float]] = {}
    for bolt, (five, eight) in J1701.items():
        rows["SAE J1701", "grade 5", bolt] = (five, five)
        rows["SAE J1701", "grade 8", bolt] = (eight, eight)
    for bolt, (dry, oiled) in PROOF.items():
        rows["75 % of proof, dry", "grade 8", bolt] = (dry * LBF_FT,) * 2
        rows["75 % of proof, oiled", "grade 8", bolt] = (oiled * LBF_FT,) * 2
    for name, table in (("SAE J1701M", J1701M), ("engine maker's norm", NORM)):
        for bolt, (low, high) in table.items():
            rows[name, "class 8.8", bolt] = (low, low)
            rows[name, "class 10.9", bolt] = (high, high)
    for bolt, ends in FLANGE.items():
        rows["driveline flange bolts", "grade 8", bolt] = ends
    return rows


def test_every_general_table() -> None:
    found = {(t.table, t.grade, t.bolt): (t.least, t.most) for t in bolt_torques()}
    assert found.keys() == restated().keys()
    for key, ends in restated().items():
        assert found[key] == pytest.approx(ends, rel=1e-9), key


def test_sources_and_standings() -> None:
    words = {
        "SAE J1701": "SAE J1701, March 1999",
        "75 % of proof, dry": "75 % of proof",
        "75 % of proof, oiled": "75 % of proof",
        "SAE J1701M": "SAE J1701M, July 1996",
        "engine maker's norm": "MTU tightening norm, 2014, friction 0.125",
        "driveline flange bolts": "TM 5-4210-230-14&P-1",
    }
    for torque in bolt_torques():
        assert words[torque.table] in torque.source
    # All of these passages were read.
    assert {t.standing for t in bolt_torques()} == {"published"}


# Tensile stress areas: ASME B1.1 [in²], ISO 898-1 table A.1 (coarse) [mm²].  Proof stress: SAE J429
# grade 5 85 ksi, grade 8 120 ksi; SAE J1199 class 8.8 600 MPa, 10.9 830 MPa.
INCH_AREA = {"5/16-24": 0.0580, "3/8-24": 0.0878, "7/16-20": 0.1187, "1/2-20": 0.1599}
INCH_AREA |= {"9/16-18": 0.203, "5/8-18": 0.256}
INCH_AREA |= {"3/8-16": 0.0775, "7/16-14": 0.1063, "1/2-13": 0.1419, "5/8-11": 0.226}
METRIC_AREA = {"M8": 36.6, "M10": 58.0, "M12": 84.3, "M14": 115.0, "M16": 157.0}
FRICTION = {"SAE J1701": 0.2, "75 % of proof, dry": 0.2, "75 % of proof, oiled": 0.15}
FRICTION |= {"SAE J1701M": 0.15}


def test_general_tables_come_to_three_quarters_of_proof() -> None:
    """T = K d F with F 75 % of the proof load (Shigley, Mechanical Engineering Design)."""
    proof = {"grade 5": 85e3, "grade 8": 120e3, "class 8.8": 600.0, "class 10.9": 830.0}
    seen = set()
    for torque in bolt_torques():
        if torque.table not in FRICTION:
            continue
        seen.add(torque.table)
        if torque.bolt in METRIC_AREA:
            force = METRIC_AREA[torque.bolt] * proof[torque.grade] * 0.75
            diameter = float(torque.bolt[1:]) / 1000
        else:
            force = INCH_AREA[torque.bolt] * proof[torque.grade] * 0.75 * 4.4482216152605
            top, bottom = torque.bolt.split("-")[0].split("/")
            diameter = int(top) / int(bottom) * 0.0254
        # Printed as whole numbers of N m or lbf ft, so half a unit off, and a little of its own.
        assert torque.most == pytest.approx(
            FRICTION[torque.table] * diameter * force, rel=0.01, abs=0.7
        ), torque
    assert seen == set(FRICTION)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("M12", {("SAE J1701M", "class 10.9"): 94, ("engine maker's norm", "class 10.9"): 100}),
        ("m12 x 1.75", {("SAE J1701M", "class 10.9"): 94}),
        ("M12×1.75", {("SAE J1701M", "class 10.9"): 94}),
        ("1/2-20", {("SAE J1701", "grade 8"): 163, ("driveline flange bolts", "grade 8"): 146}),
        ("1/2 - 13", {("75 % of proof, dry", "grade 8"): 106 * LBF_FT}),
    ],
)
def test_a_bolt_as_a_scene_writes_it(written: str, expected: dict[tuple[str, str], float]) -> None:
    found = {(t.table, t.grade): t.most for t in torques_of(written)}
    for key, torque in expected.items():
        assert found[key] == pytest.approx(torque)


@pytest.mark.parametrize("written", ["M12 x 1.25", "M20", "1/2", "1/2-28", "", "3/4-16"])
def test_a_bolt_that_no_table_has(written: str) -> None:
    assert torques_of(written) == ()


def test_a_coarse_thread_is_not_given_the_torque_of_the_fine_one() -> None:
    assert {t.table for t in torques_of("1/2-13")} == {
        "75 % of proof, dry",
        "75 % of proof, oiled",
    }

# ruff: noqa: E501  (the table reads better in whole lines)
"""Every rule once more, beside the data: what it looks at, its limit, and where it may fail.

Limits and their sources stand in ``test_rules``.  Situations by kind of rule:

* read on a standing vehicle (GM: ride height; International CTS-4017: unloaded and loaded; Iveco:
  static load): angles and pairs.  R0 ride height, RL loaded; CR under cruise torque watches.
* vibration: only where the vehicle runs at speed for long, CR cruise, OV overrun.
* pulling away: PU watches, HL hard launch is shown beside.
* parts that come apart or bind: all states, the ends of travel (TE), torque there (XX) and parked
  (PK) too; contact that needs torque at the end of travel watches, except with a line.
* reserve, rubbing: fails where it is met always or often, watches where seldom (common practice).
* V: what no state changes.

Severity: 9, 10 parts come apart, case breaks, brakes or fuel; 7, 8 binds, yields, whirls; 5, 6 rubs,
too little reserve; 3, 4 shakes, wears early; 1, 2 outside a recommendation (common practice).
"""

from __future__ import annotations

import pytest

from sim.judge.rules import load_rules, rule_sets

CODES = {
    "R0": "ride height",
    "RL": "loaded",
    "CR": "cruise",
    "OV": "overrun",
    "PU": "pull-away",
    "HL": "hard launch",
    "TE": "travel",
    "XX": "extreme",
    "PK": "parked",
    "V": "vehicle",
}
SIGNS = {"<=": ("at most", False), "<": ("at most", True)}
SIGNS |= {">=": ("at least", False), ">": ("at least", True)}

# rule | quantity | limit | may fail in | watches in | standing | severity | cause | key of [limits]
# | "all": to fail, all these states break it | what is shown beside
COMMON = """\
bottoming | gap | > 0 | all | - | physical | 9 | spline closes | -
gap reserve | gap | >= 6 | R0 RL CR OV PU | HL TE XX | proposal | 5 | spline closes | gap
pull-out | engaged | > 0 | all | - | physical | 9 | spline opens | -
engaged reserve | engaged against its least | >= own | R0 RL CR OV PU | HL TE XX | common practice | 5 | spline opens | -
plunge | plunge left | > 0 | all | - | physical | 9 | plunge | -
plunge reserve | plunge left | >= 6 | R0 RL CR OV PU | HL TE XX | proposal | 5 | plunge | gap
contact | clearance of known sizes | > 0 | R0 RL CR OV PU HL TE PK | XX | physical | 9 | clearance | -
contact with a line | clearance of known sizes to lines | > 0 | all | - | physical | 10 | clearance | -
contact, size assumed | clearance of assumed sizes | > 0 | - | all | common practice | 6 | clearance | -
clearance | clearance | >= 10 | R0 RL CR | OV PU HL TE PK | common practice | 5 | clearance | clearance
clearance at rest | clearance to fixed parts | >= 25 | - | R0 RL | common practice | 4 | clearance | -
clearance to a line | clearance to lines | >= 40 | - | R0 RL CR OV PU HL TE PK | common practice | 6 | clearance | -
clearance to the exhaust | clearance to the exhaust | >= 20 | - | R0 RL CR OV PU HL TE PK | common practice | 5 | clearance | -
ground contact | height over ground of known sizes | > 0 | R0 RL CR OV PU HL TE PK | XX | physical | 9 | ground | -
ground clearance | height over ground | >= own | R0 RL CR | OV PU HL TE | common practice | 4 | ground | ground
critical speed | whirl limit | >= own | V | - | published | 8 | whirl | safe_share
critical speed, beam | whirl limit, beam | >= own | - | V | published | 6 | whirl | safe_share
joint binds | universal joints without a limit of their own | <= 30 | all | - | published | 8 | joint limit | -
mechanical limit | universal joints at their limit | <= own | all | - | common practice | 7 | joint limit | -
mechanical limit, constant velocity | constant velocity joints at their limit | <= own | all | - | common practice | 7 | joint limit | -
mechanical limit, flexible | flexible couplings at their limit | <= own | R0 RL CR OV PU | HL TE XX PK | common practice | 6 | joint limit | -
constant velocity joint | constant velocity joints | < 10 | R0 | RL CR | published | 4 | joint angle | -
lone universal joint | lone universal joint | < 1.5 | R0 | RL CR | published | 4 | joint angle | -
angle at speed | angle at speed | <= own | - | CR | second-hand | 3 | joint angle | -
residual fluctuation | fluctuation of the pinion | <= 0.27 | CR | OV | published | 4 | uneven pinion | -
two-joint table | torsional acceleration of one shaft | <= 400 | - | CR OV | second-hand | 3 | uneven pinion | -
pinion uneven | torsional acceleration | <= 300 | CR | OV | from memory | 3 | uneven pinion | torsional
shaft uneven under drive | inertial acceleration under drive | <= 1000 | CR | - | from memory | 3 | uneven shaft | inertial
shaft uneven on the overrun | inertial acceleration on the overrun | <= 1000 | CR | OV | from memory | 3 | uneven shaft | inertial
launch shudder | residual angle | <= 3 | - | PU | proposal | 4 | launch shudder | - | shows HL
bearing met twice a turn | bearing swing met twice a turn | <= 1 | - | PU | proposal | 3 | bearing resonance | launch_motion | shows HL
bearing met once a turn | bearing met once a turn | >= 40 | - | V | proposal | 2 | bearing resonance | -
half critical | half critical | >= own | - | V | proposal | 3 | half critical | -
joint torque | joint torque | <= own | CR OV PU HL | XX | shop | 7 | joint strength | -
joint size | sizing torque of rated joints | <= own | V | - | shop | 7 | joint strength | -
series size | sizing torque by series | <= own | - | V | from memory | 6 | joint strength | -
joint torque, peak | peak torque of joints | <= own | - | V | proposal | 5 | joint strength | -
tube torque | tube torque | <= own | V | - | from memory | 7 | tube strength | -
tube torque, peak | peak torque of tubes | <= own | - | V | proposal | 5 | tube strength | -
joint life | joint life | >= 250000 | - | V | proposal | 2 | joint life | joint_life
yoke phase | phase | <= 3 | V | - | published | 4 | phase | -
index marks | index marks | <= 3 | - | V | published | 4 | phase | -
bracket skew | bracket skew | <= 3 | V | - | published | 4 | bracket | -
contradiction, angle | contradicting angle | <= own | V | - | physical | 10 | contradiction | -
contradiction, place | contradicting length | <= own | V | - | physical | 10 | contradiction | -
"""
OWN = {
    "two-piece service": """\
front joint, most | odd front joint | <= 0.5 | R0 | RL CR | published | 4 | joint angle | front_joint
front joint, least | odd front joint | >= 0.1 | - | R0 RL | published | 3 | joint angle | -
joint, least | paired joints | >= 0.1 | R0 RL | - | published | 3 | joint angle | least_angle | all
joint, most | paired joints | <= 4 | R0 | RL CR | published | 4 | joint angle | largest_angle
pair difference | pair differences | <= 0.5 | R0 | RL CR | published | 4 | uneven pinion | pair_difference
""",
    "general light service": """\
joint, least | universal joints | >= 0.5 | R0 RL | - | published | 3 | joint angle | least_angle | all
joint, most | universal joints | < 3 | R0 | RL CR | published | 4 | joint angle | largest_angle
pair difference | last pair difference | <= 1 | R0 | RL CR | published | 4 | uneven pinion | pair_difference
""",
    "heavy truck": """\
constant velocity joint | constant velocity joints | < 10 | R0 RL | CR | published | 4 | joint angle | -
lone universal joint | lone universal joint | < 1.5 | R0 RL | CR | published | 4 | joint angle | -
joint life | joint life | >= 500000 | - | V | proposal | 2 | joint life | joint_life
coupling joint, least | coupling joints | >= 0.5 | R0 RL | - | published | 3 | joint angle | - | all
coupling joint, recommended least | coupling joints | >= 1 | - | R0 RL | published | 2 | joint angle | -
coupling joint, most | coupling joints | <= 3 | R0 RL | CR | published | 4 | joint angle | front_joint
coupling joint, recommended most | coupling joints | <= 1.5 | - | R0 RL | published | 2 | joint angle | -
joint, least | last two joints | >= 0.5 | R0 RL | - | published | 3 | joint angle | least_angle | all
joint, recommended least | last two joints | >= 1 | - | R0 RL | published | 2 | joint angle | -
joint, most | last two joints | <= 5 | R0 RL CR | - | published | 4 | joint angle | largest_angle
joint, recommended most | last two joints | <= 3 | - | R0 RL | published | 2 | joint angle | -
pair difference | last pair difference | <= 1.5 | R0 RL | CR | published | 4 | uneven pinion | pair_difference
pair difference, recommended | last pair difference | <= 1 | - | R0 RL | published | 2 | uneven pinion | -
slopes parallel | slope difference | <= 1 | - | R0 RL | published | 1 | slopes | -
""",
    "chassis conversion": """\
constant velocity joint | constant velocity joints | < 10 | RL | R0 CR | published | 4 | joint angle | -
lone universal joint | lone universal joint | < 1.5 | RL | R0 CR | published | 4 | joint angle | -
front joint, least | coupling joints | >= 0.5 | R0 RL | - | published | 3 | joint angle | - | all
front joint, recommended least | coupling joints | >= 1 | - | R0 RL | published | 2 | joint angle | -
front joint, most | coupling joints | <= 6 | RL | R0 CR | published | 4 | joint angle | front_joint
front joint, recommended most | coupling joints | <= 3 | - | R0 RL | published | 2 | joint angle | -
front coupling, most | flexible coupling at the output | <= 1.5 | RL | R0 CR | published | 4 | joint angle | -
front coupling, recommended most | flexible coupling at the output | <= 1 | - | R0 RL | published | 2 | joint angle | -
joint, least | last two joints | >= 0.5 | R0 RL | - | published | 3 | joint angle | least_angle | all
joint, recommended least | last two joints | >= 1 | - | R0 RL | published | 2 | joint angle | -
joint, most | last two joints | <= 6 | RL | R0 CR | published | 4 | joint angle | largest_angle
joint, recommended most | last two joints | <= 3 | - | R0 RL | published | 2 | joint angle | -
pair difference | last pair difference | <= 1 | RL | R0 CR | published | 4 | uneven pinion | pair_difference
slopes parallel | slope difference | <= 1 | - | RL | published | 1 | slopes | -
gap reserve, static | gap | >= 20 | - | R0 RL PU TE | published | 5 | spline closes | -
""",
}


def rows(table: str) -> list[list[str]]:
    return [[cell.strip() for cell in line.split("|")] for line in table.strip().splitlines()]


def places(cell: str) -> tuple[str, ...]:
    words = [] if cell == "-" else list(CODES)[:9] if cell == "all" else cell.split()
    return tuple(CODES[word] for word in words)


ROWS = [(name, row) for name in rule_sets() for row in rows(COMMON)]
ROWS = [
    (name, row) for name, row in ROWS if row[0] not in [own[0] for own in rows(OWN.get(name, ""))]
] + [(name, row) for name, table in OWN.items() for row in rows(table)]


@pytest.mark.parametrize(("rule_set", "row"), ROWS, ids=[f"{n}: {r[0]}" for n, r in ROWS])
def test_a_rule_is_as_it_is_written_here(rule_set: str, row: list[str]) -> None:
    id, quantity, limit, fails, watches, standing, severity, cause, setting, *more = row
    rule = load_rules(rule_set).rule(id)
    sign, number = limit.split()
    assert (rule.quantity, rule.standing, rule.severity) == (quantity, standing, int(severity))
    assert (rule.relation, rule.strict) == SIGNS[sign]
    assert rule.limit == (None if number == "own" else float(number))
    assert (rule.fails_in, rule.watches_in) == (places(fails), places(watches))
    assert (rule.cause, rule.setting) == (cause, "" if setting == "-" else setting)
    assert rule.broken_in == ("all" if "all" in more else "any")
    shown = [cell.removeprefix("shows ") for cell in more if cell.startswith("shows ")]
    assert rule.shows_in == places(shown[0] if shown else "-")


def test_no_rule_is_left_out() -> None:
    written = {(name, row[0]) for name, row in ROWS}
    assert written == {(name, rule.id) for name in rule_sets() for rule in load_rules(name).rules}

"""Every rule has a configuration that keeps it and one that breaks it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples
from chains import DEG, RPM, at_ride, chain, measured, planar, twisted

from sim.errors import DomainError
from sim.judge.findings import Finding
from sim.judge.judge import judge
from sim.judge.quantities import QUANTITIES
from sim.judge.rules import Rule, rule_sets, rules_of
from sim.measure.clearance.result import Clearance
from sim.measure.contradictions import CrossCheck, Suspect
from sim.measure.life import JointLife, JointLives
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.measure.ratings import JointRating
from sim.motion.solve import solve
from sim.scene.parts import Configuration, Obstacle

LIGHT, HEAVY, ACCELERATION = "two-piece service", "heavy truck", "acceleration limits"
FAST = 3000 * RPM


def with_joints(configuration: Configuration, *kinds: str) -> Measurements:
    """Return measurements of a chain whose joints are of these kinds."""
    joints = tuple(samples.joint(kind) for kind in kinds)
    configuration = replace(configuration, joints=joints)
    return measure(solve(configuration, states=[at_ride(configuration)]))


def with_gap(gap: float) -> Measurements:
    return replace(measured(planar(2, 2)), gap=np.array([gap / 1000]))


def with_engaged(engaged: float) -> Measurements:
    return replace(measured(planar(2, 2)), engaged=np.array([engaged / 1000]))


def with_skew(skew: float) -> Measurements:
    found = measured(planar(0.4, 4, 4))
    bearing = replace(found.configuration.bearings[0], skew=skew * DEG)
    return replace(found, configuration=replace(found.configuration, bearings=(bearing,)))


def with_top_speed(share: float) -> Measurements:
    """Return measurements of a vehicle whose top speed is a share of its whirl limit."""
    found = measured(planar(2, 2))
    top = share * found.critical_speeds[0].safe_road_speed
    vehicle = replace(found.configuration.vehicle, top_speed=top)
    return replace(found, configuration=replace(found.configuration, vehicle=vehicle))


def with_beam(share: float) -> Measurements:
    """Return measurements whose top speed is a share of the beam's whirl limit alone."""
    found = measured(planar(2, 2))
    shaft = replace(
        found.whirl.shafts[0], safe_road_speed=found.configuration.vehicle.top_speed / share
    )
    return replace(found, whirl=replace(found.whirl, shafts=(shaft,)))


def with_engine(share: float) -> Measurements:
    """Return measurements whose engine turns the shaft at a share of its whirl limit."""
    found = measured(planar(2, 2))
    limit = found.configuration.limits.safe_share * found.critical_speeds[0].speed
    return replace(found, whirl=replace(found.whirl, engine_speed=share * limit))


def with_plunge(gap: float, engaged: float) -> Measurements:
    """Return measurements of a plunging joint with so much left inward and outward [mm]."""
    found = measured(planar(2, 2))
    first, last = found.configuration.joints
    plunging = replace(last, kind="constant velocity", plunge=0.04, plunge_in=0.02)
    configuration = replace(found.configuration, joints=(first, plunging))
    left = {"gap": np.array([gap / 1000]), "engaged": np.array([engaged / 1000])}
    return replace(found, configuration=configuration, **left)


def with_torque(torque: float) -> Measurements:
    """Return measurements of joints rated for 1500 N m that carry a torque [N m]."""
    found = measured(planar(2, 2))
    rated = tuple(replace(joint, rated_torque=1500.0) for joint in found.configuration.joints)
    states = tuple(replace(state, shaft_torque=torque) for state in found.states)
    return replace(found, states=states, configuration=replace(found.configuration, joints=rated))


def with_clearance(
    distance: float, kind: str = "fixed part", *, known: bool = True, least: float | None = None
) -> Measurements:
    """Return measurements in which a shaft or a joint passes a thing at a distance [mm]."""
    found = measured(planar(2, 2))
    thing = Obstacle(
        name="thing",
        start=np.zeros(3),
        end=np.ones(3),
        pipe=None,
        moves=0.0,
        rides_on="frame",
        kind=kind,
        least_clearance=None if least is None else least / 1000,
    )
    near = Clearance(
        obstacle=kind if kind == "ground" else "thing",
        kind=kind,
        part="shaft 1" if known else "joint 1",
        size_known=known,
        distance=distance / 1000,
        certified_within=0.0,
        at_rest=distance / 1000,
        case="no torque",
        travel=0.0,
        roll=0.0,
        turning=True,
        point=np.zeros(3),
    )
    limits = replace(found.configuration.limits, ground=0.2)
    configuration = replace(found.configuration, obstacles=(thing,), limits=limits)
    return replace(found, configuration=configuration, clearances=(near,))


def clearance_case(
    rule: str, where: str, kept: Measurements, broken: Measurements, verdict: str
) -> tuple[str, str, str, Measurements, Measurements, str]:
    """Return a case of the two-piece service set."""
    return (LIGHT, rule, where, kept, broken, verdict)


THING = "shaft 1 to thing"
CLEARANCE_CASES = [
    clearance_case("contact", THING, with_clearance(0.1), with_clearance(-1), "fails"),
    clearance_case(
        "contact, size assumed",
        "joint 1 to thing",
        with_clearance(0.1, known=False),
        with_clearance(-1, known=False),
        "watch",
    ),
    clearance_case("clearance", THING, with_clearance(10.1), with_clearance(9.9), "watch"),
    clearance_case(
        "clearance", THING, with_clearance(40.1, least=40), with_clearance(39.9, least=40), "fails"
    ),
    clearance_case(
        "clearance",
        "joint 1 to thing",
        with_clearance(40.1, least=40, known=False),
        with_clearance(39.9, least=40, known=False),
        "watch",
    ),
    clearance_case("clearance at rest", THING, with_clearance(25.1), with_clearance(24), "watch"),
    clearance_case(
        "clearance to a line",
        THING,
        with_clearance(40.1, "line"),
        with_clearance(39.9, "line"),
        "watch",
    ),
    clearance_case(
        "clearance to the exhaust",
        THING,
        with_clearance(20.1, "exhaust"),
        with_clearance(19.9, "exhaust"),
        "watch",
    ),
    clearance_case(
        "ground contact",
        "shaft 1 to ground",
        with_clearance(1, "ground"),
        with_clearance(-1, "ground"),
        "fails",
    ),
    clearance_case(
        "ground clearance",
        "shaft 1 to ground",
        with_clearance(201, "ground"),
        with_clearance(199, "ground"),
        "fails",
    ),
]


def with_strength(**changes: object) -> Measurements:
    """Return measurements of a chain with some of its strength changed."""
    found = measured(planar(2, 2))
    return replace(found, strength=replace(found.strength, **changes))


def with_most(torque: float, *, tube: bool = False, own: bool = False) -> Measurements:
    """Return measurements in which a torque can reach a tube or joints that carry 1500 N m."""
    found = measured(planar(2, 2)).strength
    torques = replace(found.torques, case=0.0, most=torque)
    ratings = (JointRating(joint=1, torque=None if tube else 1500.0, own=own),)
    carries = 1500.0 if tube else 1e9
    tubes = tuple(
        replace(t, yield_torque=carries, buckling_torque=1e9, certified=own) for t in found.tubes
    )
    return with_strength(torques=torques, ratings=ratings, tubes=tubes)


def with_life(hours: float) -> Measurements:
    """Return measurements of a joint that lives so long."""
    life = JointLife(
        joint=1, rating=1.0, basis="capacity times radius", life=hours * 3600, worst="cruise"
    )
    return with_strength(lives=JointLives(duty=(), usual=True, lives=(life,)))


STRENGTH_CASES = [
    (
        LIGHT,
        "tube torque",
        "shaft 1",
        with_most(1499, tube=True),
        with_most(1501, tube=True),
        "watch",
    ),
    (
        HEAVY,
        "tube torque",
        "shaft 1",
        with_most(1499, tube=True, own=True),
        with_most(1501, tube=True, own=True),
        "fails",
    ),
    (LIGHT, "series torque", "joint 1", with_most(1499), with_most(1501), "watch"),
    (
        LIGHT,
        "joint torque, most",
        "joint 1",
        with_most(1499, own=True),
        with_most(1501, own=True),
        "fails",
    ),
    (LIGHT, "joint life", "joint 1", with_life(5001), with_life(4999), "watch"),
]


def with_suspect(path: str, error: float, deviation: float) -> Measurements:
    """Return measurements with a reading that is out by an error, given its deviation."""
    suspect = Suspect(
        path=path,
        text="as read",
        error=error,
        deviation=deviation,
        residual=abs(error) / deviation,
        shares=1.0,
        turned=False,
    )
    check = CrossCheck(
        second=(path,),
        apart=(error,),
        expected=(deviation,),
        misfit=suspect.residual**2,
        suspects=(suspect,),
    )
    return replace(measured(planar(2, 2)), cross_check=check)


CV, DOUBLE, U = "constant velocity", "double cardan", "universal"


# rule set, rule, part, measurements that keep it, measurements that break it, verdict then
def with_wrap(degrees: float) -> Measurements:
    """Return measurements of a straight chain whose pinion torque has turned."""
    return replace(measured(planar(2, 2)), wrap=np.deg2rad([degrees]))


CASES = [
    *CLEARANCE_CASES,
    *STRENGTH_CASES,
    (LIGHT, "axle wrap", "pinion", with_wrap(-11.9), with_wrap(-12.1), "watch"),
    (LIGHT, "bottoming", "spline", with_gap(0.1), with_gap(0.0), "fails"),
    (ACCELERATION, "bottoming", "spline", with_gap(0.1), with_gap(-3.0), "fails"),
    (HEAVY, "pull-out", "spline", with_engaged(0.1), with_engaged(0.0), "fails"),
    (LIGHT, "least gap", "spline", with_gap(6.1), with_gap(5.9), "watch"),
    (LIGHT, "least engaged length", "spline", with_engaged(60.1), with_engaged(59), "watch"),
    (LIGHT, "plunge", "joint 2, inward", with_plunge(0.1, 9), with_plunge(0, 9), "fails"),
    (HEAVY, "plunge", "joint 2, outward", with_plunge(9, 0.1), with_plunge(9, -1), "fails"),
    (
        LIGHT,
        "least plunge left",
        "joint 2, inward",
        with_plunge(6.1, 9),
        with_plunge(5, 9),
        "watch",
    ),
    (LIGHT, "joint torque", "joint 1", with_torque(-1499), with_torque(-1501), "fails"),
    (
        LIGHT,
        "mechanical limit, constant velocity",
        "joint 1",
        with_joints(chain(planar(17.9, 2)), CV, U),
        with_joints(chain(planar(18.1, 2)), CV, U),
        "watch",
    ),
    (
        HEAVY,
        "mechanical limit, flexible",
        "joint 2",
        with_joints(chain(planar(1, 2.9)), U, "flexible"),
        with_joints(chain(planar(1, 3.1)), U, "flexible"),
        "watch",
    ),
    (LIGHT, "critical speed", "shaft 1", with_top_speed(0.99), with_top_speed(1.01), "fails"),
    (LIGHT, "critical speed, beam", "shaft 1", with_beam(0.99), with_beam(1.01), "watch"),
    (LIGHT, "critical speed, engine", "shaft 1", with_engine(0.99), with_engine(1.01), "watch"),
    (
        LIGHT,
        "mechanical limit",
        "joint 1",
        measured(planar(19, 2)),
        measured(planar(21, 2)),
        "watch",
    ),
    (
        LIGHT,
        "front joint",
        "joint 1",
        measured(planar(0.4, 4, 4)),
        measured(planar(0.6, 4, 4)),
        "fails",
    ),
    (
        LIGHT,
        "front joints",
        "joint 2",
        measured(planar(0.4, 0.4, 4, 4)),
        measured(planar(0.4, 0.7, 4, 4)),
        "watch",
    ),
    (
        HEAVY,
        "coupling joint, least",
        "joint 1",
        measured(planar(1.1, 4, 4)),
        measured(planar(0.9, 4, 4)),
        "fails",
    ),
    (
        HEAVY,
        "coupling joint, most",
        "joint 2",
        measured(planar(1.2, 1.4, 4, 4)),
        measured(planar(1.2, 1.6, 4, 4)),
        "fails",
    ),
    (
        LIGHT,
        "pair difference",
        "joints 1 and 2",
        measured(planar(3, 2.1)),
        measured(planar(3, 1.9)),
        "fails",
    ),
    (
        LIGHT,
        "pair difference",
        "joints 2 and 3",
        measured(planar(0.4, 4, 4.4)),
        measured(planar(0.4, 4, 4.6)),
        "fails",
    ),
    (
        HEAVY,
        "pair difference",
        "joints 2 and 3",
        measured(planar(1.2, 3, 3.9)),
        measured(planar(1.2, 3, 4.1)),
        "fails",
    ),
    (
        LIGHT,
        "least angle",
        "joint 3",
        measured(planar(0.4, 0.6, 0.6)),
        measured(planar(0.4, 0.6, 0.4)),
        "fails",
    ),
    (
        LIGHT,
        "least angle, front joint",
        "joint 1",
        measured(planar(0.55, 4, 4)),
        measured(planar(0.3, 4, 4)),
        "watch",
    ),
    (
        HEAVY,
        "largest static angle",
        "joint 1",
        measured(planar(2.9, 2)),
        measured(planar(3.1, 2)),
        "watch",
    ),
    (
        LIGHT,
        "largest operating angle",
        "joint 2",
        measured(planar(5, 5.9)),
        measured(planar(5, 6.1)),
        "fails",
    ),
    (
        HEAVY,
        "largest operating angle",
        "joint 2",
        measured(planar(4, 4.9)),
        measured(planar(4, 5.1)),
        "fails",
    ),
    (
        LIGHT,
        "constant velocity joint",
        "joint 1",
        with_joints(chain(planar(9.9, 1)), DOUBLE, U),
        with_joints(chain(planar(10.1, 1)), CV, U),
        "fails",
    ),
    (
        HEAVY,
        "lone universal joint",
        "joint 2",
        with_joints(chain(planar(8, 1.4)), DOUBLE, U),
        with_joints(chain(planar(8, 1.6)), DOUBLE, U),
        "fails",
    ),
    (
        LIGHT,
        "angle at speed",
        "joint 1",
        measured(planar(5.7, 5.7), shaft_speed=FAST),
        measured(planar(5.9, 5.7), shaft_speed=FAST),
        "watch",
    ),
    (
        LIGHT,
        "yoke phase",
        "shaft 1",
        measured(planar(3, 3), [0.9]),
        measured(planar(3, 3), [-1.1]),
        "fails",
    ),
    (
        LIGHT,
        "yoke phase",
        "shaft 1",
        measured(twisted(5, 5, 20), [20]),
        measured(twisted(5, 5, 20), [-20]),
        "fails",
    ),
    (
        LIGHT,
        "index marks",
        "shaft 1",
        measured(planar(0.3, 3, 3), [0.9, 0]),
        measured(planar(0.3, 3, 3), [-1.1, 0]),
        "watch",
    ),
    (
        ACCELERATION,
        "contradiction",
        "reading shaft 2, slope",
        with_suspect("shaft.2.slope", 0.2 * DEG, 0.1 * DEG),
        with_suspect("shaft.2.slope", -0.4 * DEG, 0.1 * DEG),
        "fails",
    ),
    (
        HEAVY,
        "contradiction",
        "reading bearing 1, up",
        with_suspect("bearing.1.up", 0.002, 0.001),
        with_suspect("bearing.1.up", 0.004, 0.001),
        "fails",
    ),
    (HEAVY, "bracket skew", "bearing 1", with_skew(2.9), with_skew(3.1), "fails"),
    (
        LIGHT,
        "torsional acceleration",
        "pinion",
        measured(planar(11.4, 0)),
        measured(planar(11.5, 0)),
        "watch",
    ),
    (
        ACCELERATION,
        "torsional acceleration",
        "pinion",
        measured(planar(9.8, 0)),
        measured(planar(10, 0)),
        "watch",
    ),
    (
        HEAVY,
        "inertial drive acceleration",
        "shaft 1",
        measured(planar(17.5, 17.5)),
        measured(planar(18.5, 18.5)),
        "watch",
    ),
    (
        ACCELERATION,
        "inertial coast acceleration",
        "shaft 2",
        measured(planar(1, 17.5, 17.5)),
        measured(planar(1, 18.5, 18.5)),
        "watch",
    ),
    (
        ACCELERATION,
        "residual fluctuation",
        "pinion",
        measured(planar(2.97, 0)),
        measured(planar(2.99, 0)),
        "fails",
    ),
]


def only(found: Measurements, rule_set: str, rule: str, where: str) -> Finding:
    """Return the one finding of a rule on a part."""
    chosen = [f for f in judge(found, rule_set).findings if (f.rule, f.where) == (rule, where)]
    assert len(chosen) == 1
    return chosen[0]


@pytest.mark.parametrize(
    ("rule_set", "rule", "where", "kept", "broken", "verdict"),
    CASES,
    ids=[f"{case[0]}: {case[1]}, {case[2]}" for case in CASES],
)
def test_a_rule_passes_what_keeps_it_and_not_what_breaks_it(
    rule_set: str,
    rule: str,
    where: str,
    kept: Measurements,
    broken: Measurements,
    verdict: str,
) -> None:
    good, bad = (only(found, rule_set, rule, where) for found in (kept, broken))
    assert (good.verdict, bad.verdict) == ("passes", verdict)
    assert good.what != bad.what
    assert bad.severity >= good.severity
    sign = 1 if good.relation == "at most" else -1
    assert sign * (good.value - good.limit) < 0 <= sign * (bad.value - bad.limit)


def test_a_plunging_joint_stands_in_place_of_the_spline() -> None:
    rules = {finding.rule for finding in judge(with_plunge(1.0, 9.0)).findings}
    assert "plunge" in rules
    assert not rules & {"bottoming", "pull-out", "least gap", "least engaged length"}


def test_a_joint_without_a_rating_is_not_judged_by_torque() -> None:
    assert all(f.rule != "joint torque" for f in judge(measured(planar(2, 2))).findings)


def test_one_shaft_whirls_in_one_finding_only() -> None:
    found = with_top_speed(1.5)
    beyond = replace(found.whirl, engine_speed=2 * found.critical_speeds[0].speed)
    bad = [f.rule for f in judge(replace(found, whirl=beyond)).findings if f.verdict != "passes"]
    assert [rule for rule in bad if "critical" in rule] == ["critical speed"]


def test_every_rule_of_every_set_is_exercised() -> None:
    named = {(rule_set, rule.id) for rule_set in rule_sets() for rule in rules_of(rule_set)}
    assert {(case[0], case[1]) for case in CASES} <= named
    assert {case[1] for case in CASES} == {rule for _, rule in named}


@pytest.mark.parametrize("rule_set", rule_sets())
def test_every_rule_says_what_it_means_and_where_it_comes_from(rule_set: str) -> None:
    for rule in rules_of(rule_set):
        assert rule.quantity in QUANTITIES
        assert all((rule.good, rule.bad, rule.meaning, rule.remedy, rule.source))
        assert rule.meaning.endswith(".")
        assert rule.remedy.endswith(".")
        assert ("from memory" in rule.source) == (rule.standing == "from memory")
        assert ("common practice" in rule.source) == (rule.standing == "common practice")


def test_every_quantity_is_looked_at_by_a_rule() -> None:
    looked_at = {rule.quantity for name in rule_sets() for rule in rules_of(name)}
    assert looked_at == set(QUANTITIES)


def test_a_rule_with_an_unknown_word_is_refused() -> None:
    rule = rules_of(LIGHT)[0]
    with pytest.raises(DomainError, match='rule "bottoming": relation "below" is not of at most'):
        replace(rule, relation="below")
    with pytest.raises(DomainError, match='standing "hearsay"'):
        Rule(**{**{f: getattr(rule, f) for f in Rule.__slots__}, "standing": "hearsay"})


def test_an_unknown_rule_set_is_refused_with_the_names_there_are() -> None:
    with pytest.raises(
        DomainError, match='no rule set "strict"; there are: two-piece service, heavy'
    ):
        judge(measured(planar(2, 2)), "strict")

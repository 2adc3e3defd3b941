"""From what the driver feels to likely sources, ranked by points that are shown.

The points are common practice, no source.  They sort; they prove nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sim.display import display_of
from sim.judge.findings import Finding
from sim.judge.part import ride_height
from sim.judge.sources import SOURCES, Source
from sim.measure.measurements import Measurements
from sim.measure.orders import (
    IDLE,
    engine_rate,
    firing_order,
    order_frequency,
    shaft_rate,
    tire_rate,
)
from sim.measure.whirl.crossings import road_speed
from sim.scene.parts import Complaint, Vehicle

BOUNCE_BAND = 0.5  # of that road speed: the rubber's stiffness is known to ± 60 % at best
LAUNCH_ENDS = 40 / 3.6  # [m/s], launch shudder is gone by then; common practice, no source
PULLING = ("pull-away", "hard launch")
FINDING_POINTS = {"fails": 3, "watch": 2, "cannot be told": 1, "passes": -1}
LONGEST_LIST = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class LikelySource:
    """One likely source of a complaint.

    Attributes:
        source: What it is and how it is confirmed.
        frequency: How often it would shake at that road speed [Hz].
        gear: "first gear" for the engine as it pulls away; "" else.
        speed: Road speed at which it would [m/s]: the one that was felt, or where none was, that
            at which the source has the felt frequency.
        points: What speaks for it less what speaks against it [-].
        reasons: Each with its points, as in "42.1 Hz against 42 Hz felt (+4)".
        finding: The finding that speaks for it, or None.
    """

    source: Source
    frequency: float
    gear: str
    speed: float
    points: int
    reasons: tuple[str, ...]
    finding: Finding | None


def likely_sources(
    m: Measurements, findings: Sequence[Finding], complaint: Complaint
) -> tuple[LikelySource, ...]:
    """Return the likely sources of a complaint, the likeliest first.

    Args:
        m: What was measured on the configuration.
        findings: What the rule set says about it.
        complaint: What the driver feels.

    Returns:
        At most six sources that more speaks for than against; none where nothing does.

    Source:
        Frequencies: order arithmetic of Ford and GM service manuals.  Points: common practice, no
        source.
    """
    found = (_weigh(m, findings, complaint, source) for source in SOURCES)
    likely = [one for one in found if one is not None and one.points > 0]
    return tuple(sorted(likely, key=lambda one: -one.points)[:LONGEST_LIST])


def _weigh(
    m: Measurements, findings: Sequence[Finding], complaint: Complaint, source: Source
) -> LikelySource | None:
    """Return a source with its points, or None where it is not there or shakes otherwise."""
    vehicle = m.configuration.vehicle
    first = _pulls_away(vehicle, complaint, source)
    gear = vehicle.first_gear if first and vehicle.first_gear else vehicle.top_gear
    each = _frequency(vehicle, source, 1.0, gear)  # grows in proportion to the speed
    if each is None:
        return None
    speed = complaint.speed
    if speed is None:
        assert complaint.frequency is not None, "a complaint names a speed or a frequency"
        speed = complaint.frequency / each
    turns = engine_rate(_shaft_rate(vehicle, speed), gear)
    evidence = _evidence(m, complaint, source, speed)
    if evidence is None or (source.part == "engine" and turns < IDLE):
        return None
    frequency = each * speed
    if complaint.frequency is not None and not complaint.may_be_at(frequency):
        return None
    finding = _finding([f for f in findings if _speaks(f, complaint, speed)], source)
    weighed = [
        _felt(complaint, frequency) if complaint.speed else _reached(vehicle, speed),
        _torque(complaint, source),
        _load(complaint, source),
        evidence,
        _found(finding),
    ]
    told = [(points, why) for points, why in weighed if points]
    return LikelySource(
        source=source,
        frequency=frequency,
        gear="first gear" if first else "",
        speed=speed,
        points=sum(points for points, _ in told),
        reasons=tuple(f"{why} ({points:+d})".replace("-", "−") for points, why in told),
        finding=finding if finding is not None and finding.verdict != "passes" else None,
    )


def _pulls_away(vehicle: Vehicle, complaint: Complaint, source: Source) -> bool:
    """Return whether the engine is felt as it pulls away in first gear, where that is known."""
    slow = complaint.speed is not None and complaint.speed <= LAUNCH_ENDS
    known = vehicle.first_gear is not None
    return source.part == "engine" and slow and complaint.when == "drive" and known


def _shaft_rate(vehicle: Vehicle, speed: float) -> float:
    """Return turns of the shafts per second at a road speed [m/s]."""
    return shaft_rate(tire_rate(speed, vehicle.tire_circumference), vehicle.axle_ratio)


def _frequency(vehicle: Vehicle, source: Source, road_speed: float, gear: float) -> float | None:
    """Return how often a source shakes [Hz], or None where that is not known."""
    tire = tire_rate(road_speed, vehicle.tire_circumference)
    shaft = _shaft_rate(vehicle, road_speed)
    rates = {"tire": tire, "shaft": shaft, "engine": engine_rate(shaft, gear)}
    order = source.order
    if not order:
        if vehicle.cylinders is None:
            return None
        order = firing_order(vehicle.cylinders)
    return order_frequency(rates[source.part], order)


def _felt(complaint: Complaint, frequency: float) -> tuple[int, str]:
    """Weigh that the frequency is the one that was felt, or may be, where one was."""
    if complaint.frequency is None:
        return 0, ""
    if complaint.is_at(frequency):
        return 4, "its frequency is the one felt"
    return 1, "its frequency is near the one felt"


def _reached(vehicle: Vehicle, speed: float) -> tuple[int, str]:
    """Weigh whether the vehicle is ever so fast that a source has the felt frequency."""
    beyond = speed > vehicle.top_speed
    return (-4, "it has the felt frequency beyond top speed only") if beyond else (0, "")


def _torque(complaint: Complaint, source: Source) -> tuple[int, str]:
    """Weigh whether it is felt under torque only."""
    if complaint.when is None:
        return 0, ""
    if complaint.when == "any":
        points = {"no": 1, "either": 0, "yes": -2}[source.torque]
        return points, "felt under drive and on the overrun alike"
    points = {"no": -2, "either": 0, "yes": 2}[source.torque]
    way = "under drive" if complaint.when == "drive" else "on the overrun"
    return points, f"felt {way} only"


def _load(complaint: Complaint, source: Source) -> tuple[int, str]:
    """Weigh whether it is felt at one load only."""
    if complaint.load in (None, "any"):
        return 0, ""
    return (1 if source.load else -1), f"felt {complaint.load} only"


def _found(finding: Finding | None) -> tuple[int, str]:
    """Weigh what the rules say."""
    if finding is None:
        return 0, ""
    said = "its checks passed" if finding.verdict == "passes" else f"finding: {finding.what}"
    return FINDING_POINTS[finding.verdict], said


def _speaks(finding: Finding, complaint: Complaint, speed: float) -> bool:
    """Return whether a finding can be felt so: pulling away is neither late nor on the overrun."""
    pulling = finding.state is not None and finding.state.situation in PULLING
    return not pulling or (speed <= LAUNCH_ENDS and complaint.when != "coast")


def _finding(findings: Sequence[Finding], source: Source) -> Finding | None:
    """Return the finding that speaks most for a source, of the rules that look at it, or None."""
    looked = [finding for finding in findings if finding.rule in source.rules]
    return max(looked, key=lambda finding: FINDING_POINTS[finding.verdict], default=None)


def _evidence(
    m: Measurements, complaint: Complaint, source: Source, speed: float
) -> tuple[int, str] | None:
    """Weigh a source by a number of the model; None where the vehicle does not have the part."""
    match source.evidence:
        case "critical":
            return _critical(m, speed)
        case "half critical":
            return _half_critical(m, speed)
        case "bounce":
            return _bounce(m, speed)
        case "wrap":
            return _wrap(m, complaint, speed)
        case "height":
            return _height(m, complaint)
    return 0, ""


def _critical(m: Measurements, speed: float) -> tuple[int, str]:
    """Weigh the road speed against the lowest critical speed, by either form."""
    plain = (critical.road_speed for critical in m.critical_speeds)
    least = min(*plain, *(beam.road_speed for beam in m.whirl.shafts))
    said = f"critical at {_speed(m, least)}"
    return (3 if speed >= 0.7 * least else -3), said


def _half_critical(m: Measurements, speed: float) -> tuple[int, str]:
    """Weigh the road speed against the bands about half of the critical speeds."""
    near = any(low <= speed <= high for low, high in (w.half_band for w in m.whirl.shafts))
    halves = ", ".join(_speed(m, w.road_speed / 2) for w in m.whirl.shafts)
    return (2 if near else -3), f"half critical at {halves}"


def _bounce(m: Measurements, speed: float) -> tuple[int, str] | None:
    """Weigh the road speed against those at which the second order meets the rubber's bounce."""
    crossings = bounce_crossings(m)
    if not crossings:
        return None
    crossing = min(crossings, key=lambda v: abs(v - speed))
    near = abs(speed - crossing) <= BOUNCE_BAND * crossing
    said = f"twice a turn meets the bounce on the rubber at {_speed(m, crossing)}"
    return (2 if near else -3), said


def bounce_crossings(m: Measurements) -> tuple[float, ...]:
    """Return the road speeds at which twice per turn meets the bounce on the center bearings.

    Args:
        m: What was measured on the configuration.

    Returns:
        Road speeds [m/s]; none without a bearing in rubber.
    """
    vehicle = m.configuration.vehicle
    bounces = [mode.frequency for mode in m.whirl.modes if mode.kind == "bounce"]
    return tuple(road_speed(vehicle, frequency / 2) for frequency in bounces)


def _speed(m: Measurements, speed: float) -> str:
    """Return a road speed in words, in the units of the reader."""
    return display_of(m.configuration.display).speed.say(speed)


def _wrap(m: Measurements, complaint: Complaint, speed: float) -> tuple[int, str] | None:
    """Weigh how much more the pinion fluctuates under torque at ride height than without."""
    way = -1.0 if complaint.when == "coast" else 1.0
    late = PULLING if speed > LAUNCH_ENDS else ()
    wound = [
        k
        for k, s in enumerate(m.states)
        if s.height == "ride height" and way * s.wheel_torque > 0 and s.situation not in late
    ]
    still = ride_height(m.states)
    if not wound or not still:
        return None
    worst = max(wound, key=lambda k: float(m.fluctuation[k, -1]))
    rest, then = (100 * float(m.fluctuation[k, -1]) for k in (still[0], worst))
    said = f"pinion fluctuates by {then:.2f} % in {m.states[worst].case}, {rest:.2f} % without"
    early = speed <= LAUNCH_ENDS
    return (2 + early if then > 2 * rest and then > 0.27 else -3), said


def _height(m: Measurements, complaint: Complaint) -> tuple[int, str] | None:
    """Weigh how much more the pinion fluctuates at the load that was felt than at the other."""
    names = {h.name for h in (m.configuration.travel.heights if m.configuration.travel else ())}
    rest = m.configuration.torque_cases[0].name
    there = [k for k, s in enumerate(m.states) if s.height in names and s.case == rest]
    still = ride_height(m.states)
    if complaint.load in (None, "any") or not there or not still:
        return None
    way = 1.0 if complaint.load == "loaded" else -1.0  # springs go down under a load
    felt = [k for k in there if way * m.states[k].travel > 0]
    worst = max(felt or there, key=lambda k: float(m.fluctuation[k, -1]))
    here, then = (float(m.fluctuation[k, -1]) for k in (still[0], worst))
    height = m.states[worst].height
    said = f"pinion fluctuates by {100 * then:.2f} % at “{height}”, {100 * here:.2f} % here"
    return (2 if (then - here if felt else here - then) > 0.001 else -1), said

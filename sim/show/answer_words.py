"""What the answer says of a design: what matters, what to order, what to check, what is open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from sim.display import DEGREES, Display, amount, on_tape, to_si
from sim.judge.findings import Finding
from sim.judge.sure_words import chance_words, percent
from sim.judge.words import at_state
from sim.measure.clearance.result import GROUND, Clearance
from sim.measure.measurements import Measurements
from sim.scene.parts import Configuration, Tube
from sim.show.answer_places import ride_state
from sim.show.fitted import fitted, hole_words
from sim.show.outlook import value_words
from sim.show.report.exchange import whirl_limit
from sim.show.report.numbers import largest_angle_of
from sim.show.result import Result
from sim.show.slide_words import slide_words

MOST_OPEN = 2
BEHIND = (
    "Look behind the rail for lines, wires and a tank. Never drill a flange; webs by the chassis "
    "maker's book."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line with its number.

    Attributes:
        name: What it is about.
        key: The number, or numbers.
        words: What it means, and where.
    """

    name: str
    key: str
    words: str


def what_matters(result: Result, display: Display) -> Iterator[Line]:
    """Yield five lines: whirl, joint angles, what slides, the nearest part, pulling away."""
    m = result.measurements
    yield _whirl(m, display)
    yield _angles(m, display)
    yield _slide(m, display)
    yield _nearest(result, display)
    yield _pull_away(result, display)


def _whirl(m: Measurements, display: Display) -> Line:
    """Return the road speed up to which no shaft whirls."""
    speed = display.speed
    least = min(m.critical_speeds, key=lambda c: c.safe_road_speed)
    soft = min(shaft.safe_road_speed for shaft in m.whirl.shafts)
    rubber = f"; in its rubber {speed.say(soft)}" if m.configuration.bearings else ""
    return Line(
        name="Whirl limit",
        key=speed.say(whirl_limit(m)),
        words=f"shaft {least.shaft}{rubber}. Top speed "
        f"{speed.say(m.configuration.vehicle.top_speed)}",
    )


def _angles(m: Measurements, display: Display) -> Line:
    """Return the joint angles on the wheels."""
    at_rest = m.joint_angle[ride_state(m)]
    most, where = largest_angle_of(m, display)
    return Line(
        name="Joint angles",
        key=" / ".join(DEGREES.number(angle, digits=1) for angle in at_rest),
        words=f"deg, joints 1 to {len(at_rest)}, on the wheels at rest; most "
        f"{DEGREES.say(most, digits=1)} ({where})",
    )


def _slide(m: Measurements, display: Display) -> Line:
    """Return the least gap of what slides, and where it is."""
    words, ride = slide_words(m.configuration), ride_state(m)
    gaps = [(float(gap), s.say(display.name)) for gap, s in zip(m.gap, m.states, strict=True)]
    for limit in m.slip_limits:
        gaps.append((limit.least_gap, _spot(m, limit.case, limit.least_gap_travel, display)))
    gap, where = min(gaps)
    engaged = min([float(m.engaged.min()), *(one.least_engaged for one in m.slip_limits)])
    return Line(
        name=f"Least {words.gap.split()[0]}",
        key=on_tape(gap, display.name),
        words=f"at {where}; on the wheels {on_tape(float(m.gap[ride]), display.name)}; "
        f"{words.engaged} at least {on_tape(engaged, display.name)}",
    )


def _spot(m: Measurements, case: str, travel: float, display: Display, roll: float = 0.0) -> str:
    """Return a place of the travel in words: a named height where it is one."""
    alike = (s for s in m.states if abs(s.travel - travel) < 1e-4 and abs(s.roll - roll) < 1e-6)
    height = next((state.height for state in alike if state.height), "")
    if abs(travel) < 5e-4 and not roll:
        height = height or "ride height"
    return replace(m.states[0], height=height, travel=travel, roll=roll, case=case).say(
        display.name
    )


def _nearest(result: Result, display: Display) -> Line:
    """Return the part that comes nearest to an obstacle, or to the ground where there is none."""
    near = result.measurements.numbers.near
    obstacles = [one for one in near if one.obstacle != GROUND] or list(near)
    if not obstacles:
        return Line(name="Nearest", key="–", words="the scene gives nothing to stay clear of")
    least = min(obstacles, key=lambda one: one.distance)
    where = _spot(result.measurements, least.case, least.travel, display, least.roll)
    only = "" if least.obstacle != GROUND else "; the scene gives no obstacle"
    return Line(
        name="Nearest",
        key=on_tape(least.distance, display.name),
        words=f"{least.part} to {least.obstacle}, at {where}{_wanted(result, least, display)}"
        f"{only}",
    )


def _wanted(result: Result, near: Clearance, display: Display) -> str:
    """Return the clearance that is wanted in motion, in words; "" for none."""
    held = [
        (f.value, -to_si(f.limit, f.unit))
        for f in result.findings.findings
        if f.part and f.part.kind == "clearance" and f.part.other == near.obstacle and f.limit
    ]
    return f" (wanted {on_tape(-min(held)[1], display.name)})" if held else ""


def _pull_away(result: Result, display: Display) -> Line:
    """Return how much the pinion is shaken where the vehicle pulls away."""
    m, name = result.measurements, "Pull-away"
    pulls = [k for k, state in enumerate(m.states) if state.situation == "pull-away"]
    if not pulls:
        return Line(name=name, key="–", words="not known: the scene gives no torque to pull with")
    worst = max(pulls, key=lambda k: m.numbers.residual_angle[0, k])
    height = m.states[worst].height or "ride height"
    wrap = DEGREES.say(abs(float(m.wrap[worst])), digits=1)
    words = f"joint angle not canceled, {height}; the pinion winds up {wrap}"
    shudder = _shudder(result)
    if shudder is not None and shudder.limit is not None:
        words += f"; over {shudder.limit:g} {shudder.unit} it may shudder"
    residual = float(m.numbers.residual_angle[0, worst])
    return Line(name=name, key=DEGREES.say(residual, digits=1), words=words)


def _shudder(result: Result) -> Finding | None:
    """Return the finding on shudder when pulling away, if the rule set has one."""
    return next((f for f in result.findings.findings if f.rule == "launch shudder"), None)


def to_order(m: Measurements, display: Display) -> Iterator[Line]:
    """Yield what to order: a line a shaft, what slides, the joints, and what belongs to them."""
    configuration = m.configuration
    for built in m.as_built:
        shaft = configuration.shafts[built.shaft - 1]
        parts = ["joint to joint", _tube(shaft.tube, display)]
        if shaft.front_depth is not None and shaft.rear_depth is not None:
            cut = built.length - shaft.front_depth - shaft.rear_depth
            parts[-1] += f" cut to {on_tape(cut, display.name)}"
        phase = f"phase {DEGREES.say(shaft.phase, signed=True, digits=1)}"
        parts.append(phase if shaft.phase else "yokes in line")
        yield Line(
            name=f"Shaft {built.shaft}",
            key=on_tape(built.length, display.name),
            words=", ".join(parts),
        )
    yield _slide_order(m, display)
    if joints := _joints(configuration):
        yield Line(name="Joints", key="", words=joints)
    for said in fitted(m, display.name):
        yield Line(name="With it", key="", words=said.removesuffix("."))
    for number in range(1, len(configuration.bearings) + 1):
        if said := hole_words(configuration, number, display.name):
            name, _, words = said.removesuffix(".").partition(": ")
            yield Line(name=name, key="", words=words)


def _joints(configuration: Configuration) -> str:
    """Return the series of the joints, and their kinds where not all are plain universal joints."""
    kinds = [joint.kind for joint in configuration.joints]
    plain = all(kind == "universal" for kind in kinds)
    said = [] if plain else [f"joint {n} {kind}" for n, kind in enumerate(kinds, start=1)]
    return ", ".join(said + ([f"series {configuration.series}"] if configuration.series else []))


def _tube(tube: Tube, display: Display) -> str:
    """Return a tube as it is ordered: outside by wall."""
    unit = display.length if display.name == "metric" else display.fine
    material = "" if tube.material == "steel" else f" {tube.material}"
    return f"tube {unit.number(tube.outside)} × {unit.say(tube.wall)}{material}"


def _slide_order(m: Measurements, display: Display) -> Line:
    """Return what the spline, or the joint in its place, must be able to do."""
    configuration, words, ride = m.configuration, slide_words(m.configuration), ride_state(m)
    gap, engaged = float(m.gap[ride]), float(m.engaged[ride])
    shut = gap - min([float(m.gap.min()), *(one.least_gap for one in m.slip_limits)])
    apart = engaged - min([float(m.engaged.min()), *(o.least_engaged for o in m.slip_limits)])
    left = f"gap {on_tape(gap, display.name)}, engaged {on_tape(engaged, display.name)}"
    teeth = f", {configuration.spline.teeth} teeth" if configuration.spline.teeth else ""
    return Line(
        name=_capital(words.what),
        key=on_tape(shut + apart, display.name),
        words=f"stroke used; on the wheels {left}{teeth}",
    )


def before_drilling(m: Measurements, display: Display) -> Iterator[str]:
    """Yield what to check before anything is drilled or welded, a line each to tick."""
    ride, words = ride_state(m), slide_words(m.configuration)
    names = ("output", *(f"shaft {k}" for k in range(1, len(m.as_built) + 1)), "pinion")
    slopes = ", ".join(
        f"{name}: {DEGREES.number(value, digits=1)}"
        for name, value in zip(names, m.slope[ride], strict=True)
    )
    clamped = ", bracket clamped" if m.configuration.bearings else ""
    yield f"On the wheels{clamped}, by angle finder, front end high: {slopes} deg."
    gap = on_tape(float(m.gap[ride]), display.name)
    yield f"{_capital(words.gap)} on the wheels: {gap}."
    if m.configuration.bearings:
        yield BEHIND


def unsettled(result: Result, display: Display) -> Iterator[str]:
    """Yield what the readings leave open or near its limit, and the reading that settles it."""
    asked = [f for f in result.findings.findings if f.verdict == "cannot be told"]
    asked += [f for f in result.findings.findings if f.near and f not in asked]
    asked.sort(key=lambda f: (f.verdict != "cannot be told", -f.severity))
    if not asked:
        yield "Nothing: no limit is near what the readings allow."
    for finding in asked[:MOST_OPEN]:
        said = f"{value_words(finding, display.name)}{at_state(finding, display.name)}"
        yield f"{_capital(said)}: {_settles(finding, display)}."
    if len(asked) > MOST_OPEN:
        yield f"{len(asked) - MOST_OPEN} more near their limits: halfturn check --all"


def _settles(finding: Finding, display: Display) -> str:
    """Return how sure a finding is, and the reading that settles it."""
    between = " to ".join(amount(end, finding.unit, display.name) for end in finding.between or ())
    sure = f"near, {between}" if finding.near else chance_words(finding)
    for repeat in finding.repeats:
        take = "read" if repeat.status == "measured" else "measure"
        again = " again" if repeat.status == "measured" else f" (assumed {repeat.text})"
        same = f"if the same, {percent(repeat.agreed)}"
        return f"{sure}; {take} {repeat.reading}{again}: {same}"
    which = " and ".join(finding.telling)
    return f"{sure}; {f'read {which} closer' if which else 'no reading settles it'}"


def holds_for(result: Result, display: Display) -> str:
    """Return for which vehicle, load and speed all of this holds, in one sentence."""
    configuration = result.configuration
    said = [
        f"tire radius {_read(configuration, 'vehicle.tire_radius')}",
        f"axle {_read(configuration, 'vehicle.axle_ratio')}",
        f"up to {display.speed.say(configuration.vehicle.top_speed)}",
    ]
    if "vehicle.axle_load" in configuration.readings:
        said.append(f"axle load {_read(configuration, 'vehicle.axle_load')} at ride height")
    travel = configuration.travel
    for height in () if travel is None else travel.heights:
        load = configuration.readings.get(f"height.{height.name}.axle_load")
        weight = "" if load is None or load.status != "measured" else f" ({load.text})"
        said.append(f"height “{height.name}”{weight}")
    if travel is None:
        said.append("ride height only: no travel was looked at")
    else:
        ends = (f"{_read(configuration, f'travel.{end}')} {end}" for end in ("droop", "bump"))
        said.append(" and ".join(ends))
    if configuration.vehicle.engine_torque is not None:
        said.append(f"engine {_read(configuration, 'vehicle.engine_torque')}")
    return (
        f"Holds for {', '.join(said)}; by {result.findings.rule_set}. If any of these changes, "
        "compute again."
    )


def _read(configuration: Configuration, path: str) -> str:
    """Return a reading as it was written."""
    return configuration.readings[path].text


def _capital(words: str) -> str:
    """Return words as the start of a sentence."""
    return f"{words[:1].upper()}{words[1:]}"

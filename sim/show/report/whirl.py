"""Tables of whirl: critical speeds by both forms, all modes, and where orders cross them."""

from __future__ import annotations

from sim.display import HERTZ, SHAFT_SPEED, Display, plain_number
from sim.measure.acceleration import shaft_speed
from sim.measure.measurements import Measurements
from sim.measure.whirl.crossings import BEYOND_TOP
from sim.measure.whirl.whirl import WhirlMode
from sim.show.report.pages import Table


def whirl_tables(m: Measurements, display: Display) -> tuple[Table, ...]:
    """Return critical speeds by both forms, and every mode with its crossings.

    Args:
        m: What was measured.
        display: Units shown.
    """
    return _both_forms(m, display), _modes(m, display)


def mode_words(mode: WhirlMode) -> str:
    """Return what swings in a mode, as in "shaft 2 bends" or "bounce on the rubber"."""
    return "bounce on the rubber" if mode.kind == "bounce" else f"shaft {mode.shaft} bends"


def _both_forms(m: Measurements, display: Display) -> Table:
    """Return the critical speed of every shaft by the published form and by the beam model."""
    unit, share = display.speed, m.configuration.limits.safe_share
    rows = tuple(
        (
            f"shaft {simple.shaft}",
            f"{SHAFT_SPEED.number(simple.speed)} ({unit.say(simple.road_speed)})",
            unit.number(simple.safe_road_speed),
            f"{SHAFT_SPEED.number(beam.speed)} ({unit.say(beam.road_speed)})",
            unit.number(beam.safe_road_speed),
            f"{SHAFT_SPEED.number(beam.rigid_speed)}",
            " to ".join(unit.number(speed) for speed in beam.half_band),
        )
        for simple, beam in zip(m.critical_speeds, m.whirl.shafts, strict=True)
    )
    return Table(
        "Whirl: critical speed by the published form and by the beam model",
        (
            "shaft",
            "published form [rpm] (road speed)",
            f"its {share:.2f} [{unit.name}]",
            "beam model [rpm] (road speed)",
            f"its {share:.2f} [{unit.name}]",
            "beam, rigid bearings [rpm]",
            f"near half of the beam's [{unit.name}]",
        ),
        rows,
        "The published form (rigid ends, even tube) is what makers state their shares for: it "
        "gives the verdict. The beam model knows the mass of yokes and joints, shear, the rubber "
        "of the center bearings and how the shafts pull at one another: it is the better physics, "
        "and gives at most “watch”. A soft bearing frees a shaft's end, so its own bending may "
        f"come faster than on a rigid one. Near half (8 % either side, Cardan India) the joints' "
        f"twice-per-turn shake meets the bending: do not cruise there. {_engine(m, display)}",
    )


def _engine(m: Measurements, display: Display) -> str:
    """Return how fast the engine can turn the shafts, against top speed."""
    vehicle, fastest = m.configuration.vehicle, m.whirl.engine_speed
    if fastest is None:
        return "What the engine can give in top gear is left out: no vehicle.engine_cut_off."
    at_top = float(shaft_speed(vehicle, vehicle.top_speed))
    reading = m.configuration.readings.get("vehicle.top_gear")
    assumed = " (assumed)" if reading is None or reading.status == "assumed" else ""
    return (
        f"The engine can give {SHAFT_SPEED.say(fastest)} in top gear, {vehicle.top_gear:g} to 1"
        f"{assumed}; at top speed, {display.speed.say(vehicle.top_speed)}, the shafts turn at "
        f"{SHAFT_SPEED.say(at_top)}: that governs."
    )


def _modes(m: Measurements, display: Display) -> Table:
    """Return every mode with the road speeds at which both orders cross it."""
    unit, whirl = display.speed, m.whirl
    met = {(c.mode, c.order): unit.number(c.road_speed) for c in whirl.crossings}
    own = {shaft.mode for shaft in whirl.shafts}
    beyond = unit.number(BEYOND_TOP * m.configuration.vehicle.top_speed)
    rows = tuple(
        (
            f"{number}",
            mode_words(mode) + ("" if number in own or mode.kind == "bounce" else ", again"),
            HERTZ.number(mode.frequency),
            plain_number(100 * mode.in_rubber, 0),
            met.get((number, 1), f"over {beyond}"),
            met.get((number, 2), f"over {beyond}"),
            "margin applies" if number in own else f"no margin: {_why_none(mode)}",
        )
        for number, mode in enumerate(whirl.modes, start=1)
    )
    return Table(
        "Whirl: how the shafts can swing, and at which road speed they are shaken so",
        (
            "mode",
            "what swings",
            "frequency [Hz]",
            "energy in the rubber [%]",
            f"once per turn meets it at [{unit.name}]",
            f"twice per turn meets it at [{unit.name}]",
            "judged",
        ),
        rows,
        f"{_assumed(m)}"
        "All shafts together, as Timoshenko beams hinged at the joints, held at output and pinion, "
        "hung in the radial stiffness of the bearings' rubber. More than half of the strain energy "
        "in the rubber: bounce, felt as a passing shake. What a shaft weighs beyond its tube is at "
        "its ends. Joints with two crosses count as one hinge; gyroscopic moments, damping and "
        "torque are left out.",
    )


def _why_none(mode: WhirlMode) -> str:
    """Return why no margin is asked of a mode."""
    return "bounce" if mode.kind == "bounce" else "a slower one counts"


def _assumed(m: Measurements) -> str:
    """Return one sentence on the stiffnesses of rubber that nobody measured, or nothing."""
    count = len(m.configuration.bearings)
    found = [m.configuration.readings.get(f"bearing.{k + 1}.radial") for k in range(count)]
    texts = dict.fromkeys(r.text for r in found if r is not None and r.status == "assumed")
    if not texts:
        return ""
    return f"Radial stiffness of the rubber assumed: {', '.join(texts)}; measure it. "

"""Tables of what the driveline must carry, and of what its center bearings feel."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.display import DEGREES, HERTZ, SHAFT_SPEED, Display, plain_number
from sim.measure.life import BASES
from sim.measure.loads import FRICTION
from sim.measure.measurements import Measurements
from sim.show.report.balance import balance_table
from sim.show.report.pages import Table
from sim.units import HOUR

Row = tuple[str, ...]
CARRY, FEEL = "What it must carry", "What the center bearing feels"


def load_tables(m: Measurements, display: Display) -> tuple[Table, ...]:
    """Return the tables of torque, tubes, joints, couples, bearings and balance.

    Args:
        m: What was measured.
        display: Units shown.
    """
    tables = (
        _torques(m, display),
        _tubes(m, display),
        _joints(m, display),
        _torsion(m, display),
        _bearings(m, display),
        _couples(m, display),
        balance_table(m, display),
    )
    return tuple(table for table in tables if table.rows)


def loaded_states(m: Measurements) -> list[int]:
    """Return the states at named heights, without roll, that turn under torque."""
    return [
        k
        for k, s in enumerate(m.states)
        if s.height and s.turning and s.shaft_torque and not s.roll
    ]


def _torques(m: Measurements, display: Display) -> Table:
    """Return what can reach the shafts."""
    torques, sizing, unit = m.strength.torques, m.strength.sizing, display.torque
    load = "the axle's capacity" if sizing.by_capacity else "the axle's largest load"
    known: dict[str, float | None] = {"low gear": sizing.low_gear}
    known[f"wheel slip on {load}"] = sizing.wheel_slip
    known["at most one series below low gear"] = sizing.road
    known["engine, first gear, high range"] = torques.engine
    if m.configuration.vehicle.low_range != 1:
        known["engine, first gear, low range"] = torques.low_range
    known["what the tires hold"] = torques.tires
    known[f"largest torque case: {torques.case_name}"] = torques.case
    known["peak"] = torques.most
    rows = tuple((name, "not known" if t is None else unit.number(t)) for name, t in known.items())
    return Table(
        f"{CARRY}: torque in the shafts",
        ("from", f"torque [{unit.name}]"),
        rows,
        "Joints and tubes are sized by the lesser of low gear and wheel slip (Spicer J3311, "
        "printed p. 2), a joint not more than one series below low gear; what series stand for is "
        f"from memory. The peak is the most that can reach the shafts, {torques.most_name}: it is "
        "watched. Steady pull; a dropped clutch or a wheel that lands while spinning gives more.",
    )


def _tubes(m: Measurements, display: Display) -> Table:
    """Return how the tubes stand it."""
    unit, most = display.torque, m.strength.torques.most
    rows = tuple(
        (
            f"shaft {t.shaft}",
            unit.number(t.yield_torque),
            unit.number(t.buckling_torque),
            plain_number(100 * most / t.carries, 0),
            display.stress.number(t.shear),
            DEGREES.number(t.twist),
            f"{display.stress.number(t.yield_stress)} "
            f"({'scene' if t.certified else 'from memory'})",
        )
        for t in m.strength.tubes
    )
    return Table(
        f"{CARRY}: tubes",
        (
            "shaft",
            f"yields at [{unit.name}]",
            f"would buckle at [{unit.name}]",
            "used by the peak [%]",
            f"shear stress [{display.stress.name}]",
            "twist [deg]",
            f"yield stress taken [{display.stress.name}]",
        ),
        rows,
        "Plain tube, elastic: τ = T D/(2 J), first yield by von Mises, buckling of a long perfect "
        "tube from memory of Timoshenko and Gere. Welds, dents and holes are weaker.",
    )


def _joints(m: Measurements, display: Display) -> Table:
    """Return what the joints stand for short, and how long they live."""
    unit, most = display.torque, m.strength.torques.most
    lives = {life.joint: life for life in m.strength.lives.lives}

    def row(number: int, torque: float | None, own: bool) -> Row:
        life = lives.get(number)
        source = "scene" if own else f"series {m.configuration.series}, from memory"
        return (
            f"joint {number}",
            f"{unit.number(torque)} ({source})" if torque is not None else "not known",
            plain_number(100 * most / torque, 0) if torque is not None else "–",
            "–" if life is None else f"{unit.number(life.rating)} ({life.basis})",
            "–" if life is None else _hours(life.life),
            "–" if life is None else life.worst or "–",
        )

    return Table(
        f"{CARRY}: joints",
        (
            "joint",
            f"rated for short [{unit.name}]",
            "used by the peak [%]",
            f"rating for life [{unit.name}] (its basis)",
            "nine of ten outlive [h]",
            "worn most by",
        ),
        tuple(row(r.joint, r.torque, r.own) for r in m.strength.ratings),
        " ".join(_life_notes(m, display)),
    )


def _hours(life: float | None) -> str:
    """Return a life in hours, or that nothing wears the joint."""
    if life is None:
        return "not worn"
    hours = life / HOUR
    return plain_number(hours, 0) if hours < 1e5 else "over 100 000"


def _life_notes(m: Measurements, display: Display) -> Iterator[str]:
    """Yield what the lives rest on, or why there are none."""
    lives = m.strength.lives
    if not lives.lives:
        yield (
            "Joint life is left out: no joint has life_rating and life_basis in the scene; ratings "
            "of different makers mean different things."
        )
        return
    parts = ", ".join(
        f"{100 * step.share:.3g} % {step.name} ({display.torque.say(step.torque)} at "
        f"{SHAFT_SPEED.say(step.speed)}, {m.states[step.state].height})"
        for step in lives.duty
    )
    usual = " (assumed, common practice, no source; write [duty])" if lives.usual else ""
    yield f"Duty{usual}: {parts}; by Palmgren and Miner. Angles below 3 deg enter as 3 deg."
    yield "Formula by basis: " + "; ".join(dict.fromkeys(BASES[x.basis] for x in lives.lives)) + "."
    if len({life.basis for life in lives.lives}) > 1:
        yield "Lives of joints rated on different bases cannot be compared with each other."


def _torsion(m: Measurements, display: Display) -> Table:
    """Return the torsional natural frequencies, or one line on what is missing."""
    found, unit = m.strength.modes, display.speed
    title = f"{CARRY}: torsional natural frequencies"
    if found.missing:
        keys = ", ".join(found.missing)
        return Table(title, ("left out",), ((f"[torsion] does not give {keys}",),))
    gear = m.configuration.torsion.gear
    rows = tuple(
        (
            f"{k}",
            HERTZ.number(mode.frequency),
            unit.number(mode.road_speed),
            SHAFT_SPEED.number(mode.shaft_speed),
            SHAFT_SPEED.number(mode.engine_speed),
            "yes" if mode.reached else "no",
        )
        for k, mode in enumerate(found.modes, start=1)
    )
    return Table(
        title,
        (
            "mode",
            "frequency [Hz]",
            f"twice-per-turn shake meets it at [{unit.name}]",
            "shaft [rpm]",
            "engine [rpm]",
            "within reach",
        ),
        rows,
        f"In the gear {gear:g} to 1. Engine, tubes, axle and half shafts; the wheels held by the "
        "road; without tires, mounts and damping. Told without a verdict: damping decides.",
    )


def _bearings(m: Measurements, display: Display) -> Table:
    """Return the load of every center bearing in the loaded states."""
    load, unit = m.loads.bearing, display.force

    def row(k: int, b: int) -> Row:
        steady = float(np.linalg.norm(load.steady[k, b]))
        return (
            m.states[k].say(display.name),
            f"bearing {b + 1}",
            unit.number(steady),
            unit.number(load.second[k, b]),
            unit.number(load.peak[k, b]),
            unit.number(load.one_joint[k, b]),
            unit.number(load.weight[k, b]),
            unit.number(load.largest[k, b]),
            " / ".join(unit.number(force) for force in m.loads.unbalance[k, b]),
            DEGREES.number(load.tilt[k, b]),
            display.fine.number(load.across[k, b]),
            f"{display.fine.number(load.along[k, b])} / {unit.number(load.axial[k, b])}",
        )

    bearings = range(load.peak.shape[1])
    return Table(
        FEEL,
        (
            "state",
            "bearing",
            f"steady, by torque [{unit.name}]",
            f"twice per turn, zero to peak [{unit.name}]",
            f"largest by torque [{unit.name}]",
            f"one-joint formula [{unit.name}]",
            f"weight [{unit.name}]",
            f"largest, torque and weight [{unit.name}]",
            f"unbalance at G16 / G40 [{unit.name}]",
            "shaft to bracket [deg]",
            f"rubber gives way across [{display.fine.name}]",
            f"and along the shaft, aft positive [{display.fine.name}] / by [{unit.name}]",
        ),
        tuple(row(k, b) for k in loaded_states(m) for b in bearings),
        "By balance of forces and moments of every shaft over the turn. The one-joint formula, "
        "T tan β/L, only holds where the joint angles behind the bearing are equal. Unbalance: "
        "once per turn, at the road speed of the state, both shafts on one side. Shaft to bracket: "
        "bracket skew and what the shaft tips from ride height, added up. Rubber gives way across "
        "by the steady force over bearing.N.radial; along by what pushes a coupling shaft, against "
        "bearing.N.axial.",
    )


def _friction_note(m: Measurements) -> str:
    """Return what the spline's friction rests on, or what is missing."""
    spline = m.configuration.spline
    if spline.diameter is None:
        return "Spline friction is left out: spline.diameter is not given."
    return (
        f"Spline friction: T μ cos β/r, μ {FRICTION[spline.coating]} ({spline.coating}; Spicer GWB "
        "p. 47); so much it pushes or pulls along the shaft before it slides."
    )


def _couples(m: Measurements, display: Display) -> Table:
    """Return the couples at every joint, and what the spline holds, in the loaded states."""
    unit, loads = display.torque, m.loads
    joints, held = range(loads.driving_couple.shape[1]), m.loads.spline
    rows = tuple(
        (
            m.states[k].say(display.name),
            *(
                f"{unit.number(loads.driving_couple[k, j], digits=1)} / "
                f"{unit.number(loads.driven_couple[k, j], digits=1)}"
                for j in joints
            ),
            "–" if held is None else display.force.number(held[k]),
        )
        for k in loaded_states(m)
    )
    return Table(
        "Couples at the joints, and friction of the spline",
        (
            "state",
            *(f"joint {j + 1}, ahead / behind [{unit.name}]" for j in joints),
            f"spline friction [{display.force.name}]",
        ),
        rows,
        "Largest over a turn, on the member ahead of the joint and on the one behind it. A cross "
        "can pass only a moment normal to both of its pins; what of it is not torque bends the "
        f"shafts, twice in every turn. {_friction_note(m)}",
    )

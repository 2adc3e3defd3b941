"""Notes beside the findings: how far the model was checked, and what a rule set leaves open."""

from __future__ import annotations

import numpy as np

from sim.display import DEGREES, DisplayName, display_of
from sim.judge.rule import RuleSet
from sim.measure.measurements import Measurements
from sim.measure.sag import Sag, sags_of
from sim.measure.sizing import SERIES, joint_ratings
from sim.scene.parts import LeafSprings
from sim.units import LOAD, say

CHECKED = np.deg2rad(12.0)  # leaf springs were checked as far as this, against an elastic rod


def notes_on(m: Measurements, rules: RuleSet) -> tuple[str, ...]:
    """Return what a reader of the findings must know besides.

    Args:
        m: What was measured.
        rules: The set that judges.

    Returns:
        Sentences; none where there is nothing to say.
    """
    return (
        *_wrap(m),
        *(sag_words(sag, m.configuration.display) for sag in sags_of(m.configuration)),
        *_derived_loads(m),
        *_unknown_series(m),
        *_open(m, rules),
    )


def sag_words(sag: Sag, display: DisplayName) -> str:
    """Return how far the shafts sag below a planned height, or would, and what that changes.

    Args:
        sag: Of one bearing.
        display: Units shown.
    """
    fine = display_of(display).length
    usual, least, most = sag.down
    down = f"{fine.say(usual)} ({fine.number(least)} to {fine.say(most)}, by its rubber)"
    change, *ends = (DEGREES.number(angle, signed=True) for angle in sag.joint_1)
    turned = f"joint 1 changes by {change} deg ({ends[0]} to {ends[1]})"
    where = f"bearing.{sag.bearing}"
    if sag.planned:
        return f"{where} is planned: with the shafts in it sags {down}; {turned}."
    return (
        f"{where} is taken as read with the shafts in. If its height is one on paper, write "
        f"{where}.planned = true: it then sags {down}; {turned}."
    )


def planned_words(sag: Sag, display: DisplayName) -> str:
    """Return in a clause beside a planned height how far the shafts sag below it; "" for one read.

    Args:
        sag: Of one bearing.
        display: Units shown.
    """
    if not sag.planned:
        return ""
    usual = "" if sag.rubber_read else " (radial not read)"
    return f"height planned: with the shafts in, {rubber_words(sag, display)}{usual}"


def rubber_words(sag: Sag, display: DisplayName) -> str:
    """Return how far the shafts sag, from the stiff to the soft end of the rubber's band.

    Args:
        sag: Of one bearing.
        display: Units shown.
    """
    fine, (_, least, most) = display_of(display).length, sag.down
    return f"they sag {fine.number(least)} to {fine.say(most)} in its rubber"


def joint_1_words(sag: Sag) -> str:
    """Return by how much joint 1 changes below a planned height, or would, in a line.

    Args:
        sag: Of bearing 1.
    """
    change = f"{DEGREES.number(sag.joint_1[0], signed=True)} deg at joint 1"
    if sag.planned:
        return f"bearing.1 is planned: the shafts' weight is worth {change}, and counted."
    return (
        f"bearing.1: read with the shafts in, or planned? Planned, add {change} (planned = true)."
    )


def _wrap(m: Measurements) -> tuple[str, ...]:
    """Say where the axle wraps further than the model was checked."""
    wrap = np.abs(m.numbers.wrap[0])
    worst = int(np.argmax(wrap))
    if not isinstance(m.configuration.suspension, LeafSprings) or wrap[worst] <= CHECKED:
        return ()
    state = m.states[worst].say(m.configuration.display)
    return (
        f"The axle wraps by {DEGREES.say(wrap[worst], digits=1)} at {state}; leaf springs were "
        "checked to 12 deg: angles and slip there are less sure.",
    )


def _derived_loads(m: Measurements) -> tuple[str, ...]:
    """Say which loads nobody weighed, and where they come from."""
    unit = LOAD.metric if m.configuration.display == "metric" else LOAD.inch
    readings = m.configuration.readings
    found = {name: readings.get(f"height.{name}.axle_load") for name in _own_heights(m)}
    return tuple(
        f"Height “{name}”: axle load {say(LOAD, float(np.mean(load.value)), unit)} {unit}, "
        f"derived: {load.text}."
        for name, load in found.items()
        if load is not None and load.status == "derived"
    )


def _unknown_series(m: Measurements) -> tuple[str, ...]:
    """Say that joints of a series that is not in the table are not judged by it."""
    series, ratings = m.configuration.series, joint_ratings(m.configuration)
    if not series or series in SERIES or all(rating.own for rating in ratings):
        return ()
    return (
        f"Series {series}: no rating is known here but of {', '.join(SERIES)}; joints without a "
        "rated_torque of their own are not judged by torque.",
    )


def _own_heights(m: Measurements) -> tuple[str, ...]:
    """Return the names of the heights that the scene adds."""
    travel = m.configuration.travel
    return () if travel is None else tuple(height.name for height in travel.heights)


def _open(m: Measurements, rules: RuleSet) -> tuple[str, ...]:
    """Say where a set decides at a height that the scene does not give."""
    asked = any(rule.fails_in == ("loaded",) for rule in rules.rules)
    if not asked or any(state.situation == "loaded" for state in m.states):
        return ()
    return (
        f"“{rules.name}” decides loaded, and the scene gives no loaded height: angles only watch.",
    )

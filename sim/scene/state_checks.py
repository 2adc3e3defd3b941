"""Cross checks of what makes the states: travel, heights, torque cases, road speeds, duty."""

from __future__ import annotations

from collections.abc import Sequence

from sim.display import DisplayName, display_of
from sim.scene.hints import example_of
from sim.scene.quantity import Quantity
from sim.scene.tables.setup import Setup
from sim.scene.tables.suspension import on_frame
from sim.scene.tables.torque import FULL_TRAVEL, NO_TORQUE
from sim.scene.tables.torque import case_names as names_of_cases
from sim.scene.tables.travel import HeightKeys
from sim.scene.text import Found, Path
from sim.scene.words import one_of, quote

RIDE, DROOP, BUMP, PARKED = "ride height", "full droop", "full bump", "parked low"
ROUNDING = 1e-6  # by which shares that make the whole may miss 1


def check_states(setup: Setup) -> Found:
    """Yield contradictions of travel, heights, torque cases and duty, by the path to mend."""
    yield from _travel(setup)
    yield from _heights(setup)
    yield from _cases(setup)
    yield from _duties(setup)


def shown(setup: Setup, length: float) -> str:
    """Return a length [m] in the unit in which the places of a set-up were read, as in "115 mm"."""
    display = display_of(read_in(setup))
    return display.length.say(length, digits=display.coarse).replace("−", "-")


def read_in(setup: Setup) -> DisplayName:
    """Return the units in which the places of a set-up were read."""
    read = setup.pinion.aft or setup.pinion.forward
    return "inch" if read is not None and read.unit in ("in", "inch", "ft") else "metric"


def _must_be_known(setup: Setup, what: str, table: str, key: str) -> str:
    """Say that a key that may be left out is needed here."""
    _, example = example_of((table,), key, {}, read_in(setup))
    return f"then {what} must be known: [{table}] {example}"


def _track(setup: Setup) -> str:
    return _must_be_known(setup, "the track", "axle", "track")


def case_names(setup: Setup) -> tuple[str, ...]:
    """Return the names of the torque cases of a set-up, "no torque" first."""
    plate = setup.vehicle
    known = {f"vehicle.{key}" for key in plate.written if getattr(plate, key) is not None}
    return names_of_cases(tuple(setup.torque_case), known)


def _travel(setup: Setup) -> Found:
    """Refuse a travel without a suspension, and travels that contradict each other."""
    travel, suspension = setup.travel, setup.suspension
    if travel is None or suspension is None:
        if travel is not None or suspension is not None:
            have, lack = ("suspension", "travel") if travel is None else ("travel", "suspension")
            said = f" is written without [{lack}]; both, or neither to look at ride height only"
            yield (have,), said
        return
    if travel.roll.value and setup.axle.track is None:
        yield ("travel", "roll"), f" is {travel.roll.text}; {_track(setup)}"
    still = travel.droop.value + travel.bump.value == 0
    if still and not on_frame(suspension):
        yield ("travel",), ": droop and bump are both 0; the axle must move"


def _heights(setup: Setup) -> Found:
    """Refuse named heights outside of the travel, or with names and torque cases not there."""
    for name, height in setup.height.items():
        path = ("height", name)
        if name.lower() in (RIDE, DROOP, BUMP, PARKED):
            yield path, " is always looked at; give another height its own name"
        if setup.travel is None:
            yield path, " needs [travel], of which it is a part"
            continue
        for key in HeightKeys.declared():
            value = height.values[key]
            way = key.rpartition("_")[2]
            if isinstance(value, Quantity) and way in ("bump", "droop"):
                most: Quantity = getattr(setup.travel, way)
                if value.value > most.value + 1e-9:
                    said = f" is {value.text}; the axle goes to {most.text} at full {way}"
                    yield (*path, key), said
        yield from _apart(setup, height, path)
        if height.axle_load is not None and setup.vehicle.axle_load is None:
            needs = _must_be_known(setup, "the load at ride height", "vehicle", "axle_load")
            yield (*path, "axle_load"), f" is {height.axle_load.text}; {needs}"
        for case in height.cases:
            if case not in case_names(setup):
                yield (*path, "torque_cases"), _no_case(setup, case)


def _apart(setup: Setup, height: HeightKeys, path: Path) -> Found:
    """Refuse wheels that differ without a track, or by more than it."""
    if height.together:
        return
    if setup.axle.track is None:
        yield path, f" has its own travel left and right; {_track(setup)}"
        return
    left, right = (height.signed(f"{side}_bump") for side in ("left", "right"))
    if abs(left - right) >= setup.axle.track.value:
        said = f": the wheels stand {shown(setup, abs(left - right))} apart in height; "
        yield path, said + f"the track is only {setup.axle.track.text}"


def _cases(setup: Setup) -> Found:
    """Refuse what belongs to torque cases that are not there."""
    if NO_TORQUE in setup.torque_case:
        yield ("torque_case", NO_TORQUE), " is always looked at; leave it out"
    names = case_names(setup)
    for name in setup.output_move:
        if name not in names:
            yield ("output_move", name), _no_case(setup, name)
    top = setup.vehicle.top_speed
    for name, speed in setup.road_speed.items():
        if name not in names and name != FULL_TRAVEL:
            yield ("road_speed", name), _no_case(setup, name)
        elif speed.unit != "rpm" and speed.value > top.value * (1 + 1e-9):
            said = f" is {speed.text}; the vehicle goes no faster than {top.text}, its top_speed"
            yield ("road_speed", name), said


def _no_case(setup: Setup, name: str) -> str:
    """Say that a torque case is not there."""
    return f": {quote(name)} is no torque case here; {one_of(name, case_names(setup))}"


def _duties(setup: Setup) -> Found:
    """Refuse duties that name what is not there, or do not add up."""
    for name in setup.duty:
        yield from _duty(setup, name, case_names(setup))
    whole = sum(duty.share.value for duty in setup.duty.values())
    if setup.duty and abs(whole - 1) > ROUNDING:
        said = f": the shares make {100 * whole:.4g} %; together they must make 100 %"
        yield ("duty",), said


def _duty(setup: Setup, name: str, cases: Sequence[str]) -> Found:
    """Refuse a part of the duty at a height or in a torque case that is not looked at."""
    duty = setup.duty[name]
    heights = (RIDE, *((DROOP, BUMP) if setup.travel else ()), *setup.height)
    for key, word, allowed in (
        ("torque_case", duty.torque_case, cases),
        ("height", duty.height, heights),
    ):
        if word not in allowed:
            what = key.replace("_", " ")
            said = f" is {quote(word)}, which is no {what} here; {one_of(word, allowed)}"
            yield ("duty", name, key), said
    height = setup.height.get(duty.height)
    run = height.cases if height else ()
    if run and duty.torque_case in cases and duty.torque_case not in run:
        said = f" is {quote(duty.torque_case)}, which does not run at {quote(duty.height)}; "
        yield ("duty", name, "torque_case"), said + one_of(duty.torque_case, run)

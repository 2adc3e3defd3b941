"""Cross checks of a complete set-up: what no single value shows, and what leaves no answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sim.display import DisplayName, display_of
from sim.scene.hints import example_of
from sim.scene.quantity import Quantity
from sim.scene.tables.frame_mounted import FrameMountedKeys
from sim.scene.tables.measured import MeasuredKeys
from sim.scene.tables.setup import Setup
from sim.scene.tables.torque import FULL_TRAVEL, NO_TORQUE
from sim.scene.tables.torque import case_names as names_of_cases
from sim.scene.tables.travel import HeightKeys
from sim.scene.text import Path
from sim.scene.words import one_of, quote

Found = Iterator[tuple[Path, str]]
RIDE, DROOP, BUMP, PARKED = "ride height", "full droop", "full bump", "parked low"
ROUNDING = 1e-6  # by which shares that make the whole may miss 1
FARTHEST_AXLE = 1.2  # [m], pinion joint to axle center; no axle housing is longer


def shown(setup: Setup, length: float) -> str:
    """Return a length in the unit in which the places of a set-up were read.

    Args:
        setup: The set-up.
        length: The length [m].

    Returns:
        As in "115 mm" or "4.53 in" [text].
    """
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


def case_names(setup: Setup) -> tuple[str, ...]:
    """Return the names of the torque cases of a set-up, "no torque" first."""
    plate = setup.vehicle
    known = {f"vehicle.{key}" for key in plate.written if getattr(plate, key) is not None}
    return names_of_cases(tuple(setup.torque_case), known)


def _track(setup: Setup) -> str:
    return _must_be_known(setup, "the track", "axle", "track")


def check_structure(setup: Setup) -> Found:
    """Yield every contradiction that leaves nothing to compute with.

    Args:
        setup: The set-up, each key of it valid.

    Yields:
        Path of the key to mend, and what is wrong with it.
    """
    yield from _count(setup)
    yield from _level(setup)
    yield from _order(setup)
    yield from _spline(setup)
    yield from _plunging(setup)
    yield from _travel(setup)
    yield from _heights(setup)
    yield from _cases(setup)
    yield from _duties(setup)


def _count(setup: Setup) -> Found:
    """Refuse gaps in the numbering, and shafts and bearings that do not go together."""
    count, bearings = len(setup.shaft), len(setup.bearing)
    for what, numbers in (("shaft", setup.shaft), ("bearing", setup.bearing)):
        missing = next((n for n in range(1, len(numbers) + 1) if str(n) not in numbers), None)
        if missing:
            yield (
                (what,),
                f": there is no {what} {missing}; they are numbered 1, 2, 3 from the front",
            )
            return
    if bearings != count - 1:
        has = {0: "no bearing", 1: "one bearing"}.get(bearings, f"{bearings} bearings")
        shafts = "one shaft" if count == 1 else f"{count} shafts"
        said = f": {shafts} and {has}; one bearing belongs between each two shafts"
        yield (("bearing",) if bearings else ("shaft",)), said
    for number in setup.joint:
        if int(number) > count + 1:
            shafts = f"{count} shaft{'s' * (count > 1)}"
            yield ("joint", number), f" does not exist; {shafts} and joints 1 to {count + 1}"


def _level(setup: Setup) -> Found:
    """Refuse slopes to level without the frame's own, and the frame's own without any."""
    slopes: list[tuple[Path, Quantity]] = [
        (("output", "slope"), setup.output.slope),
        (("pinion", "slope"), setup.pinion.slope),
    ]
    if isinstance(setup.suspension, MeasuredKeys):
        for number, reading in setup.suspension.reading.items():
            slopes.append((("suspension", "reading", number, "slope"), reading.slope))
    slopes += list(_second_slopes(setup))
    if setup.frame is None:
        for path, slope in slopes:
            if slope.tail:
                said = f" is {slope.text}; then the frame must be read too: "
                yield path, said + '[frame] slope = "0.6 ± 0.1 deg"'
    elif not any(slope.tail for _, slope in slopes):
        said = f" is {setup.frame.slope.text}, but no slope was taken to level; "
        yield ("frame", "slope"), said + 'write "… deg to level" where it was'


def _second_slopes(setup: Setup) -> Iterator[tuple[Path, Quantity]]:
    """Yield the slopes that were read to check the others with."""
    for number, shaft in setup.shaft.items():
        if shaft.slope is not None:
            yield ("shaft", number, "slope"), shaft.slope
    designed = setup.output.as_designed
    if designed is not None and designed.slope is not None:
        yield ("output", "as_designed", "slope"), designed.slope
    if setup.pinion.slope_on_wedge is not None:
        yield ("pinion", "slope_on_wedge"), setup.pinion.slope_on_wedge


def _order(setup: Setup) -> Found:
    """Refuse parts that are not in order from front to rear."""
    pinion, axle = setup.pinion.position[0], setup.axle.position[0]
    behind, who = setup.output.position[0], "the output"
    if pinion <= behind:
        said = f" puts the pinion {shown(setup, behind - pinion)} ahead of the output; "
        yield ("pinion", "aft"), said + "both are measured from the same datum, going aft"
        return
    on_frame = isinstance(setup.suspension, FrameMountedKeys)
    if not on_frame and not 0 < axle - pinion < FARTHEST_AXLE:
        where = "ahead of" if axle <= pinion else "behind"
        said = (
            f" puts the axle center {shown(setup, abs(axle - pinion))} {where} the pinion joint; "
        )
        yield ("axle", "aft"), said + f"it belongs 0 to {shown(setup, FARTHEST_AXLE)} behind it"
    for number in sorted(setup.bearing):
        here = setup.bearing[number].position[0]
        path = ("bearing", number, "aft")
        if here >= pinion:
            yield path, f" puts it {shown(setup, here - pinion)} behind the pinion joint"
            return
        if here <= behind:
            said = f" puts it {shown(setup, behind - here)} ahead of {who}; "
            yield path, said + "bearings are numbered from the front"
            return
        behind, who = here, f"bearing {number}"


def _spline(setup: Setup) -> Found:
    """Refuse splines that cannot follow the axle, or two that both would."""
    spline, pieces = setup.spline, len(setup.shaft)
    if spline.at == "output" and pieces > 1:
        said = " is output; behind a bearing it cannot follow the axle: midship or shaft"
        yield ("spline", "at"), said
    if spline.at == "midship" and pieces == 1:
        said = " is midship; a one-piece shaft has no midship stub: output or shaft"
        yield ("spline", "at"), said
    if setup.output_spline is not None and pieces == 1:
        where = "inside the shaft" if spline.at == "shaft" else "on the output"
        said = f": without a center bearing it and the spline {where} would both follow the axle; "
        yield ("output_spline",), said + "exactly one may"
    if spline.gap is None or spline.engaged is None:
        return  # the joint checks say what is missing
    if spline.shorter is not None:
        for key in ("gap", "engaged"):
            value: Quantity = spline.values[key]
            if value.value > spline.shorter.value:
                said = f" is {value.text}; the shorter spline is only {spline.shorter.text} long"
                yield ("spline", key), said
    whole = spline.engaged.value + spline.gap.value
    if spline.least_engaged.value > whole:
        said = f" is {spline.least_engaged.text}; the whole spline is only {shown(setup, whole)}"
        yield ("spline", "least_engaged"), said


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
        yield (
            ("travel", "roll"),
            f" is {travel.roll.text}; {_track(setup)}",
        )
    still = travel.droop.value + travel.bump.value == 0
    if still and not isinstance(suspension, FrameMountedKeys):
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
        yield (
            path,
            f" has its own travel left and right; {_track(setup)}",
        )
        return
    left, right = (height.signed(f"{side}_bump", f"{side}_droop") for side in ("left", "right"))
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


def _plunging(setup: Setup) -> Found:
    """Refuse a plunging joint away from the slip, or beside a spline; and neither of the two."""
    plunging = [n for n, joint in setup.joint.items() if joint.plunge is not None]
    spline, last = setup.spline, len(setup.shaft)
    if not plunging:
        for key in ("gap", "engaged"):
            if spline.values[key] is None:
                what, example = example_of(("spline",), key, {})
                yield ("spline", key), f" is missing; {what}, as in {example}"
        return
    if len(plunging) > 1:
        said = f": joint {plunging[0]} plunges already; exactly one may follow the axle"
        yield ("joint", plunging[1], "plunge"), said
        return
    here = int(plunging[0])
    places = {"output": (1,), "midship": (last,), "shaft": (last, last + 1)}[spline.at]
    if here not in places:
        where = " or ".join(map(str, places))
        said = f": spline.at is {spline.at}, so the slip is at joint {where}"
        yield ("joint", plunging[0], "plunge"), said
    for key in spline.declared():
        if key != "at" and key in spline.written:
            said = f": joint {here} plunges in place of a spline; leave out all but at"
            yield ("spline", key), said
            return

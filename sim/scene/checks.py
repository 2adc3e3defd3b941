"""Cross checks of a complete set-up: what no single value shows, and what leaves no answer."""

from __future__ import annotations

from sim.scene.as_read import quantities
from sim.scene.hints import example_of
from sim.scene.quantity import Quantity
from sim.scene.state_checks import check_states, shown
from sim.scene.tables.setup import Setup
from sim.scene.text import Found


def check_structure(setup: Setup) -> Found:
    """Yield every contradiction that leaves nothing to compute with, by the path to mend."""
    yield from _count(setup)
    yield from _level(setup)
    yield from _spline(setup)
    yield from _plunging(setup)
    yield from check_states(setup)


def _count(setup: Setup) -> Found:
    """Refuse gaps in the numbering, and shafts and bearings that do not go together."""
    count, bearings = len(setup.shaft), len(setup.bearing)
    for what, numbers in (("shaft", setup.shaft), ("bearing", setup.bearing)):
        missing = next((n for n in range(1, len(numbers) + 1) if str(n) not in numbers), None)
        if missing:
            said = f": there is no {what} {missing}; they are numbered 1, 2, 3 from the front"
            yield (what,), said
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
    found = (q for q in quantities(setup) if "to level" in q[2].tails and q[0][0] != "frame")
    slopes = [(path, slope) for path, slope, *_ in found]
    if setup.frame is None:
        for path, slope in slopes:
            if slope.tail:
                said = f" is {slope.text}; then the frame must be read too: "
                yield path, said + '[frame] slope = "0.6 ± 0.1 deg"'
    elif not any(slope.tail for _, slope in slopes):
        said = f" is {setup.frame.slope.text}, but no slope was taken to level; "
        yield ("frame", "slope"), said + 'write "… deg to level" where it was'


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

"""Cross checks of joints: keys of another kind, and a plunging joint in the spline's place."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sim.scene.build_joint import HALVED_AT
from sim.scene.hung import Joint, Setup
from sim.scene.text import Path
from sim.scene.words import example_of

Found = Iterator[tuple[Path, str]]
BELONGS_TO = {
    "between_crosses": "double cardan",
    "halving_error": "double cardan",
    "halving_error_at": "double cardan",
    "plunge": "constant velocity",
    "plunge_in": "constant velocity",
}
NEEDS = {"halving_error_at": "halving_error", "plunge_in": "plunge"}
SPLINE_KEYS = (
    "gap",
    "engaged",
    "shorter",
    "least_engaged",
    "teeth",
    "off_by",
    "diameter",
    "coating",
)


def check_joints(setup: Setup) -> Found:
    """Yield every contradiction of joints with their kinds and with the spline.

    Args:
        setup: The set-up, each key of it valid.

    Yields:
        Path of the key to mend, and what is wrong with it.
    """
    for number, joint in setup.joint.items():
        yield from _keys(number, joint)
        yield from _amounts(number, joint)
    yield from _plunging(setup)


def _keys(number: str, joint: Joint) -> Found:
    """Refuse keys that belong to another kind of joint, or to another key."""
    for key in BELONGS_TO:
        if getattr(joint, key) is None or key not in joint.model_fields_set:
            continue
        if joint.kind != BELONGS_TO[key]:
            kind = BELONGS_TO[key] + (" joint" if key.startswith("plunge") else "")
            said = f" belongs to a {kind}; this joint is {joint.kind}"
            yield ("joint", number, key), said
        elif key in NEEDS and getattr(joint, NEEDS[key]) is None:
            yield ("joint", number, key), f" says nothing without {NEEDS[key]}"


def _amounts(number: str, joint: Joint) -> Found:
    """Refuse a coupling yoke beyond both axes, and more plunge left than there is."""
    error, at = joint.halving_error, joint.halving_error_at
    angle = math.radians(HALVED_AT) if at is None else at.value
    if error is not None and abs(error.value) >= angle / 2:
        shown = f"{HALVED_AT:.0f} deg" if at is None else at.text
        said = f" is {error.text} at {shown}; it must stay below half of that angle"
        yield ("joint", number, "halving_error"), said
    whole, inward = joint.plunge, joint.plunge_in
    if whole is not None and inward is not None and inward.value > whole.value:
        said = f" is {inward.text}; the joint plunges {whole.text} in all"
        yield ("joint", number, "plunge_in"), said


def _plunging(setup: Setup) -> Found:
    """Refuse a plunging joint away from the slip, or beside a spline; and neither of the two."""
    plunging = [n for n, joint in setup.joint.items() if joint.plunge is not None]
    spline, last = setup.spline, len(setup.shaft)
    if not plunging:
        for key in ("gap", "engaged"):
            if getattr(spline, key) is None:
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
    for key in SPLINE_KEYS:
        if key in spline.model_fields_set:
            said = f": joint {here} plunges in place of a spline; leave out all but at"
            yield ("spline", key), said
            return

"""Cross checks of what a driveline serves in: duties that name what is there, ratings that mean."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sim.scene.hung import Setup
from sim.scene.text import Path
from sim.scene.words import one_of, quote

Found = Iterator[tuple[Path, str]]
RIDE, WITH_TRAVEL = "ride height", ("full droop", "full bump")
ROUNDING = 1e-6  # by which shares that make the whole may miss 1


def check_service(setup: Setup, cases: Sequence[str]) -> Found:
    """Yield duties that name what is not there or do not add up, and ratings without a basis.

    Args:
        setup: The set-up, each key of it valid.
        cases: Names of the torque cases.

    Yields:
        Path of the key to mend, and what is wrong with it.
    """
    for name in setup.duty:
        yield from _duty(setup, name, cases)
    whole = sum(duty.share.value for duty in setup.duty.values())
    if setup.duty and abs(whole - 1) > ROUNDING:
        said = f": the shares make {100 * whole:.4g} %; together they must make 100 %"
        yield ("duty",), said
    yield from _ratings(setup)


def _duty(setup: Setup, name: str, cases: Sequence[str]) -> Found:
    """Refuse a part of the duty at a height or in a torque case that is not looked at."""
    duty = setup.duty[name]
    heights = (RIDE, *(WITH_TRAVEL if setup.travel else ()), *setup.height)
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


def _ratings(setup: Setup) -> Found:
    """Refuse a rating for life without its basis, and a basis without its rating."""
    for number, joint in setup.joint.items():
        for key, other in (("life_rating", "life_basis"), ("life_basis", "life_rating")):
            if getattr(joint, key) is not None and getattr(joint, other) is None:
                said = f" says nothing without {other}: ratings of different makers mean different"
                yield ("joint", number, key), said + " things"

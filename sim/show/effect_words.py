"""What each millimeter does, in words: on a terminal, in pictures, in the report."""

from __future__ import annotations

import math

import numpy as np

from sim.display import READERS, TRADE_INCH, Display, on_tape, to_si
from sim.explore.effects import Effect, Effects, Flip
from sim.explore.effects_looks import Limit, Number
from sim.explore.effects_steps import Step

SMALL = 1e-9
WHOLE = 10  # units from which on tenths are not said


def far_words(step: Step, far: float, *, up: bool = False) -> str:
    """Return how far a step goes as it can be set, as in "2.7 mm", "3/32 in".

    Args:
        step: The step.
        far: How far, with or without its sign [SI unit of the step].
        up: Whether to round up to what can be set, rather than down.
    """
    far, unit, inch = abs(far), step.unit, step.unit.name == TRADE_INCH.length.name
    whole = unit.digits == 0 or step.size < unit.size or unit.of(far) >= WHOLE
    small = unit.size / (32 if inch else 1 if whole else 10)
    count = math.ceil(far / small - SMALL) if up else math.floor(far / small + SMALL)
    set_to, less = max(count, 1) * small, "" if count else "<"
    if inch:
        return f"{less}{on_tape(set_to, 'inch')}"
    return f"{less}{unit.of(set_to):.1f}".removesuffix(".0") + f" {unit.name}"


def move_words(step: Step, at: float, *, up: bool = False) -> str:
    """Return how far a step goes and which way, as in "2.7 mm higher"."""
    return f"{far_words(step, at, up=up)} {step.ways[0 if at > 0 else 1]}"


def one_step(step: Step) -> str:
    """Return one step, as in "bearing 1, 1 mm higher"."""
    return f"{step.part}, {move_words(step, step.size)}"


def limit_words(limit: Limit | None) -> str:
    """Return what is wrong beyond a limit, as in "Joint angle is larger than it may (joint 3)"."""
    return "The parts go no farther" if limit is None else f"{limit.what} ({limit.where})"


def first_flip(effect: Effect) -> Flip | None:
    """Return where a limit gives way first, the nearer way; None where none does."""
    return min((f for f in effect.breaks if f), key=lambda flip: abs(flip.at), default=None)


def read_too_coarsely(effect: Effect) -> bool:
    """Say whether a reading may be off by more than it takes until a limit gives way."""
    flip = first_flip(effect)
    return flip is not None and effect.step.off is not None and abs(flip.at) < effect.step.off


def first_words(effect: Effect) -> str:
    """Return what gives way first, "–" where nothing does."""
    flip = first_flip(effect)
    return "–" if flip is None else limit_words(flip.limit)


def until_words(effect: Effect, way: int) -> str:
    """Return how far it may go one way, 0 less or 1 more, as in "2.7 mm higher", ">40 mm aft"."""
    step, flip = effect.step, effect.breaks[way]
    end = (step.low, step.high)[way]
    if flip is not None:
        return move_words(step, flip.at)
    return f">{move_words(step, end)}" if end else "–"


def off_words(effect: Effect) -> str:
    """Return within which band it was read, marked where that is too wide for its limit."""
    step = effect.step
    if step.off is None:
        return "–"
    said = f"{step.unit.of(step.off):.3g} {step.unit.name}"
    if step.unit.name == TRADE_INCH.length.name:
        said = on_tape(step.off, "inch")
    mark = " !" if read_too_coarsely(effect) else ""
    return f"± {said}{mark}"


def number_words(number: Number, display: Display) -> str:
    """Return a number as the configuration stands, without its unit."""
    return READERS[display.name][number.unit].number(to_si(number.value, number.unit))


def change_words(change: float, number: Number, display: Display) -> str:
    """Return by how much a number changes, with its sign, without its unit; "0" for nothing."""
    if np.isnan(change):
        return "–"
    unit = display.fine if number.unit == "mm" else READERS[display.name][number.unit]
    said = unit.number(to_si(change, number.unit), signed=True)
    return said if said.strip("0.") else "0"


def broken_words(effects: Effects) -> str:
    """Return which limits are broken as it stands, and what keeps each again; "" for none."""
    said = []
    for limit in effects.limits:
        if limit.verdict == "fails":
            mends = [(e.step, m.at) for e in effects.effects for m in e.mends if m.limit == limit]
            words = limit_words(limit)
            if mends:
                step, at = min(mends, key=lambda mend: abs(mend[1]) / mend[0].size)
                words += (
                    f", kept again, others aside, with {step.part} {move_words(step, at, up=True)}"
                )
            said.append(words)
    return f"Broken as it stands: {'; '.join(said)}." if said else ""

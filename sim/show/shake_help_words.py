"""What would help against a shake, in a few sentences."""

from __future__ import annotations

from collections.abc import Sequence

from sim.explore.felt import Effect
from sim.explore.shake_help import Help
from sim.show.felt_words import ratio_words

OFFERED = 3  # most that are said to help
BEST_FIRST: tuple[Effect, ...] = ("cured", "better", "cannot be told", "the same", "worse")
NONE: tuple[tuple[Effect, str], ...] = (
    ("the same", "No help"),
    ("worse", "Worse"),
    ("cannot be told", "Cannot be told"),
)
BOTH = {
    "stiffer rubber": ("softer rubber", "other rubber"),
    "a larger tube": ("a smaller tube", "other tubes"),
}


def help_words(layout: str, helps: Sequence[Help]) -> str:
    """Return what would help a layout, what would but makes a verdict worse, and what does not.

    Args:
        layout: Name of the configuration that was looked at.
        helps: From ``shake_help.helps``, in its order.

    Returns:
        Sentences; "" where nothing was tried.
    """
    if not helps:
        return ""
    offered = "; ".join(_offer(one) for one in helps[:OFFERED] if one.holds)
    would = next((_but(one) for one in helps if one.breaks), "")
    head = f"Nothing tried helps in {layout}."
    if offered or would:
        head = f"Helps in {layout}: {offered}." if offered else f"Would help in {layout}: {would}."
    groups = ((title, _names(helps, effect)) for effect, title in NONE)
    return " ".join([head, *(f"{title}: {', '.join(names)}." for title, names in groups if names)])


def _offer(one: Help) -> str:
    """Return what helps, and how much less the shake is then, with the widest band."""
    low, high = min(band.low for band in one.ratio), max(band.high for band in one.ratio)
    return f"{one.does} ({ratio_words(low, high)})"


def _but(one: Help) -> str:
    """Return what would help, and what it would make worse."""
    what = f"{one.breaks[0][:1].lower()}{one.breaks[0][1:]}"
    then = f"it is open whether {what[:-1]}" if what.endswith("?") else what
    return f"{_offer(one)}, but then {then}"


def _names(helps: Sequence[Help], effect: Effect) -> list[str]:
    """Return the levers that come to an effect at best, each once."""
    best: dict[str, Effect] = {}
    for one in helps:
        if len(one.levers) == 1:
            (name,) = one.levers
            best[name] = min(best.get(name, "worse"), one.effect, key=BEST_FIRST.index)
    names = [name for name, of_it in best.items() if of_it == effect]
    for name, (other, both) in BOTH.items():
        if name in names and other in names:
            names[names.index(name)] = both
            names.remove(other)
    return names

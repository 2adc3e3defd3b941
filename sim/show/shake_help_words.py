"""What would help against a shake, in a few sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sim.explore.felt import Effect, Felt
from sim.explore.shake_help import Help, asked_of, helps
from sim.judge.rule import RuleSet
from sim.show.felt_words import TURNS, ratio_words
from sim.show.result import Result

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


def help_lines(felt: Felt, results: Sequence[Result], rules: RuleSet) -> Iterator[str]:
    """Yield what would help against a complaint where it is felt, for each order that may be it.

    Args:
        felt: The answer to the complaint.
        results: One a configuration, the one in which it is felt among them.
        rules: That judged them.
    """
    (result,) = (one for one in results if one.configuration.name == felt.felt_in)
    built, orders = result.configuration, [fit.order for fit in felt.may_be]
    for order in orders:
        (near,) = (one for one in result.near[felt.complaint.name] if one.order == order)
        tried = helps(built, result.findings, rules, asked_of(built, felt.complaint, near))
        if words := help_words(felt.felt_in, tried):
            alone = len(orders) == 1
            yield words if alone else f"If {TURNS[order]}: {words[:1].lower()}{words[1:]}"


def help_words(layout: str, tried: Sequence[Help]) -> str:
    """Return what would help a layout, what would but makes a verdict worse, and what does not.

    Args:
        layout: Name of the configuration that was looked at.
        tried: From ``shake_help.helps``, in its order.

    Returns:
        Sentences; "" where nothing was tried.
    """
    if not tried:
        return ""
    holding = [one for one in tried if one.holds]
    named = {name for one in holding for name in one.levers}
    offered = "; ".join(_offer(one) for one in holding[:OFFERED] if not _part_of(one, holding))
    would = next((_but(one) for one in tried if one.breaks), "")
    head = f"Nothing tried helps in {layout}."
    if offered or would:
        head = f"Helps in {layout}: {offered}." if offered else f"Would help in {layout}: {would}."
    others = [one for one in tried if not named & {*one.levers}]
    groups = ((title, _names(others, effect)) for effect, title in NONE)
    return " ".join([head, *(f"{title}: {', '.join(names)}." for title, names in groups if names)])


def _part_of(one: Help, others: Sequence[Help]) -> bool:
    """Say whether a lever is already said together with another one."""
    return any({*one.levers} < {*other.levers} for other in others)


def _offer(one: Help) -> str:
    """Return what helps, and how much less the shake is then, with the widest band."""
    low, high = min(band.low for band in one.ratio), max(band.high for band in one.ratio)
    return f"{one.does} ({ratio_words(low, high)})"


def _but(one: Help) -> str:
    """Return what would help, and what it would make worse."""
    what = f"{one.breaks[0][:1].lower()}{one.breaks[0][1:]}"
    then = f"it is open whether {what[:-1]}" if what.endswith("?") else what
    return f"{_offer(one)}, but then {then}"


def _names(tried: Sequence[Help], effect: Effect) -> list[str]:
    """Return the levers that come to an effect at best, each once."""
    best: dict[str, Effect] = {}
    for one in tried:
        if len(one.levers) == 1:
            (name,) = one.levers
            best[name] = min(best.get(name, "worse"), one.effect, key=BEST_FIRST.index)
    names = [name for name, of_it in best.items() if of_it == effect]
    for name, (other, both) in BOTH.items():
        if name in names and other in names:
            names[names.index(name)] = both
            names.remove(other)
    return names

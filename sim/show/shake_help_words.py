"""What would help against a shake, a sentence or two each; and for machines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from sim.explore.felt import Band, Effect, Felt, Fit, alike
from sim.explore.felt_near import Near
from sim.explore.shake_help import Helps, asked_of, helps
from sim.explore.shake_trials import Help
from sim.explore.shaken import Order
from sim.judge.rule import RuleSet
from sim.show.felt_json import times_less
from sim.show.felt_words import AS_ADVISED, TURNS, ratio_words
from sim.show.result import Result

OFFERED, AT_A_PRICE = 3, 2  # most that are said to help, and of them with what gets worse then
WORTH = 2.0  # times less that a shake must be for sure, to be worth a price
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


def helps_of(
    felt: Felt, answers: Sequence[Felt], results: Sequence[Result], rules: RuleSet
) -> Iterator[tuple[Order, Helps]]:
    """Yield what helps against a complaint where it is felt, for each order that may be it.

    Args:
        felt: The answer to the complaint.
        answers: To all complaints; none of the others may get worse in that layout.
        results: One a configuration, with cures.
        rules: That judged them.

    Yields:
        Nothing where the one in which it is felt is not among them.
    """
    result = next((one for one in results if one.configuration.name == felt.felt_in), None)
    if result is None:
        return
    built = result.configuration
    watched = {
        (other.complaint.name, fit.order): asked_of(built, other.complaint, near)
        for other in answers
        for fit in other.may_be
        for near in _near(result, other, fit)
    }
    for fit in felt.may_be:
        own = felt.complaint.name, fit.order
        others = {
            f"“{name}” gets worse if {TURNS[order]}": asked
            for (name, order), asked in watched.items()
            if (name, order) != own
        }
        if own in watched:
            yield fit.order, helps(built, result.findings, rules, watched[own], others)


def _near(result: Result, felt: Felt, fit: Fit) -> list[Near]:
    """Return what one order hands on near the road speed of a complaint, if it does."""
    return [one for one in result.near[felt.complaint.name] if alike(fit, one)]


def help_lines(felt: Felt, found: Sequence[tuple[Order, Helps]]) -> Iterator[tuple[str, str]]:
    """Yield what would help against a complaint.

    Args:
        felt: The answer to it.
        found: From ``helps_of``.

    Yields:
        What stands ahead of a line, and the line; the first one is the title.
    """
    if not any(each.tried for _, each in found):
        return
    title = f"Tried in the model against “{felt.complaint.name}”, on {felt.felt_in}"
    advised = next((each.advised for _, each in found if each.advised), "")
    yield "", f"{title}{AS_ADVISED}: {advised}" if advised else f"{title} as it stands"
    for order, each in found:
        if each.tried:
            yield "  ", f"If {TURNS[order]}:"
        for line in help_words(each):
            yield "    ", line


def help_words(found: Helps) -> Iterator[str]:
    """Yield what helps, what does at a price, and what does not, a sentence or two each.

    Args:
        found: From ``shake_help.helps``.
    """
    if not found.tried:
        return
    holding = [one for one in found.tried if one.holds]
    holding = [one for one in holding if not _part_of(one, holding)]
    dear = [one for one in found.tried if one.helps and not one.holds]
    offered, more = holding[:OFFERED], holding[OFFERED:]
    worth = [one for one in dear if one.surely >= WORTH]
    priced = worth[: min(AT_A_PRICE, OFFERED - len(offered))]
    if not offered:
        yield "Nothing tried helps without a price." if dear else "Nothing tried helps."
    for one in offered:
        yield f"Helps: {_offer(one)}. {_write(one)}"
    for one in priced:
        yield f"Helps at a price: {_offer(one)}, but then {_price(one)}. {_write(one)}"
    said = {name for one in (*offered, *priced) for name in one.levers}
    also, little = (
        list(dict.fromkeys(name for one in some for name in one.levers))
        for some in (more, [one for one in dear if one not in priced])
    )
    also = [name for name in also if name not in said]
    little = [name for name in little if name not in {*said, *also}]
    others = [one for one in found.tried if not {*said, *also, *little} & {*one.levers}]
    groups = [("Helps less", also), ("At a price", little)]
    groups += [(title, _names(others, effect)) for effect, title in NONE]
    if told := " ".join(f"{title}: {', '.join(names)}." for title, names in groups if names):
        yield told


def _part_of(one: Help, others: Sequence[Help]) -> bool:
    """Say whether a lever is already said together with another one."""
    return any({*one.levers} < {*other.levers} for other in others)


def _offer(one: Help) -> str:
    """Return what helps, and how much less the shake is then, with the widest band."""
    still = f"; still {_times(one.still)} than as it stands" if one.still else ""
    return f"{one.does} ({_times(one.ratio)}{still})"


def _times(ratio: Sequence[Band]) -> str:
    """Return how much less a shake is, or more, with the widest band."""
    return ratio_words(min(band.low for band in ratio), max(band.high for band in ratio))


def _price(one: Help) -> str:
    """Return what a change makes worse: a complaint by name, else the gravest verdict."""
    first, *more = [*one.harms, *(_worse(finding.what) for finding in one.breaks)]
    count = len(dict.fromkeys(more))
    also = "" if not count else f", and {count} more {'gets' if count == 1 else 'get'} worse"
    return f"{first}{also}"


def _worse(what: str) -> str:
    """Return a headline as the end of a sentence."""
    said = f"{what[:1].lower()}{what[1:]}"
    return f"it is open whether {said[:-1]}" if said.endswith("?") else said


def _write(one: Help) -> str:
    """Return what to write into the scene."""
    return f"Write {', '.join(one.changes)}"


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


def helps_json(felt: Felt, found: Sequence[tuple[Order, Helps]]) -> dict[str, Any]:
    """Return what would help against a complaint, for machines.

    Args:
        felt: The answer to it.
        found: From ``helps_of``.
    """
    return {
        "complaint": felt.complaint.name,
        "configuration": felt.felt_in,
        "orders": [
            {
                "order": order,
                "advised": each.advised,
                "tried": [_help_json(one) for one in each.tried],
            }
            for order, each in found
        ],
    }


def _help_json(one: Help) -> dict[str, Any]:
    """Return what one change does."""
    return {
        "does": one.does,
        "effect": one.effect,
        "times_less": times_less(one.ratio),
        "lines": list(one.changes),
        "verdicts_worse": [
            {"rule": finding.rule, "where": finding.where, "verdict": finding.verdict}
            for finding in one.breaks
        ],
        "shakes_worse": list(one.harms),
    }

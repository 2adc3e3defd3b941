"""The answer: which driveline to build, where it hangs, what to order, what is still open.

Text, paper and report say it from here, in the same words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sim.display import Display, display_of
from sim.judge.rule import RuleSet
from sim.scene.parts import Scene
from sim.show.advice import advice_words
from sim.show.answer_felt import what_is_felt
from sim.show.answer_places import Hang, Span, hangs_of, spans_of
from sim.show.answer_words import (
    Line,
    before_drilling,
    holds_for,
    to_order,
    unsettled,
    what_matters,
)
from sim.show.building import with_lines
from sim.show.outlook import Outlook, headline_words, outlook_of
from sim.show.result import Result
from sim.show.which import best_of, which_to_build

MOST_IN_THE_WAY = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answer:
    """What to build, in words and numbers of the reader.

    Attributes:
        scene: The scene.
        result: The design that is shown, its cures carried out.
        headline: As in "Build two-piece".
        why: One sentence.
        write: Lines of the scene that were carried out to get there; empty for the scene as it is.
        sound: Whether the design may be built; if not there are no lengths, nothing to order and
            nothing to drill.
        ready: Whether nothing on it fails or is open, so that a build sheet can be had.
        in_the_way: What keeps it from being sound, worst first, with what was tried; a sentence
            each.
        spans: Lengths along the shafts.
        hangs: Where each center bearing hangs.
        matters: Five lines of what matters.
        felt: What it does to the complaints that are felt in another configuration; or "".
        order: What to order.
        before: What to check before drilling.
        unsettled: What the readings leave open, and the reading that settles it.
        holds: What it holds for, one sentence.
    """

    scene: Scene
    result: Result
    headline: str
    why: str
    write: tuple[str, ...]
    sound: bool
    ready: bool
    in_the_way: tuple[str, ...]
    spans: tuple[Span, ...]
    hangs: tuple[Hang, ...]
    matters: tuple[Line, ...]
    felt: str
    order: tuple[Line, ...]
    before: tuple[str, ...]
    unsettled: tuple[str, ...]
    holds: str

    @property
    def name(self) -> str:
        """Name of the configuration."""
        return self.result.configuration.name

    @property
    def changed(self) -> str:
        """What was changed in the scene to get there, a sentence; "" for nothing."""
        return (
            f"All below is for the changed design: {', '.join(self.write)}." if self.write else ""
        )

    @property
    def display(self) -> Display:
        """Units shown."""
        return display_of(self.scene.display)


def answer_of(scene: Scene, results: Sequence[Result], rules: RuleSet) -> Answer:
    """Return which of some configurations to build, with its cures carried out.

    Args:
        scene: The scene.
        results: One a configuration that is asked for.
        rules: The rule set that judged them.

    Raises:
        GeometryError: If what its cures lead to cannot be reached.
    """
    display = display_of(scene.display)
    outlooks = [outlook_of(result, scene.display) for result in results]
    best = best_of(outlooks)
    result = results[outlooks.index(best)]
    write = _changes(result, best)
    shown = with_lines(result, write, rules) if write else result
    after = outlook_of(shown, scene.display) if write else best
    sound = after.grade != "not" and not (write and (after.fails or after.open))
    m = shown.measurements
    return Answer(
        scene=scene,
        result=shown,
        headline=_headline(best, bool(write), sound),
        why=_why(outlooks, best),
        write=write,
        sound=sound,
        ready=sound and after.grade == "good",
        in_the_way=() if sound else tuple(_in_the_way(after, display)),
        spans=spans_of(m) if sound else (),
        hangs=hangs_of(m.configuration) if sound else (),
        matters=tuple(what_matters(shown, display)),
        felt=what_is_felt(results, shown),
        order=tuple(to_order(m, display)) if sound else (),
        before=tuple(before_drilling(m, display)) if sound else (),
        unsettled=tuple(unsettled(shown, display)),
        holds=holds_for(shown, display),
    )


def _why(outlooks: Sequence[Outlook], best: Outlook) -> str:
    """Return why, without the name that the headline says already."""
    said = which_to_build(outlooks) if len(outlooks) > 1 else f"{best.sentence}."
    said = said.removeprefix(f"Build {best.name}: ").removeprefix(f"Build {best.name}; ")
    return f"{said[:1].upper()}{said[1:]}"


def _changes(result: Result, outlook: Outlook) -> tuple[str, ...]:
    """Return the lines of all cures together, or of what comes nearest; none if these do not do."""
    if result.findings.after is None:
        return ()
    if outlook.grade == "not":
        return outlook.nearest.changes if outlook.nearest else ()
    return tuple(dict.fromkeys(line for cure in outlook.cures for line in cure.changes))


def _headline(outlook: Outlook, changed: bool, sound: bool) -> str:
    """Return the answer in a few words."""
    name = outlook.name
    if not sound:
        return "Nothing to build yet"
    if outlook.doubted:
        return f"Read again, then build {name}"
    if outlook.grade == "not":
        return f"Nearest to sound: {name}, changed"
    if outlook.grade == "good for less":
        return f"For less than asked: {name}, changed"
    if changed:
        return f"Build {name}, changed"
    return f"Build {name}" if outlook.grade == "good" else f"Settle first, then build {name}"


def _in_the_way(outlook: Outlook, display: Display) -> list[str]:
    """Return what keeps a configuration from being sound, and what was tried."""
    found = (*outlook.fails, *outlook.open)
    said = []
    for headline in found[:MOST_IN_THE_WAY]:
        advice = advice_words(headline.lead)
        said.append(f"{headline_words(headline, display.name)}. {advice}")
    if len(found) > MOST_IN_THE_WAY:
        said.append(f"{len(found) - MOST_IN_THE_WAY} more: halfturn check --all")
    return said

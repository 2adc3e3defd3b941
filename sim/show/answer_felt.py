"""What one design does to the complaints that are felt in another layout, in a few words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from sim.explore.felt import Change, Felt
from sim.explore.felt_elsewhere import Elsewhere, elsewhere_of, felt_beside
from sim.explore.felt_near import Near, nears_of
from sim.scene.parts import Configuration, Scene
from sim.show.felt_words import TURNS, answers_of, built_of, changes_words
from sim.show.result import Result

WORST_FIRST = ("worse", "open", "the same", "better", "cured", "too small to feel")
SHORT = {word: word for word in WORST_FIRST} | {"cannot be told": "open"}
TURN = " a turn"

if TYPE_CHECKING:  # the page of an answer does without it
    from sim.explore.choose_trial import Choice


def what_is_felt(results: Sequence[Result], shown: Result) -> str:
    """Return what a design does to the complaints.

    Args:
        results: One a configuration, of one scene.
        shown: The design, its cures carried out.

    Returns:
        As in "“boom” cured if twice a turn; “shudder” worse"; of a configuration that was looked
        at alone as ``beside_words`` says it; "" where nothing is felt, or nothing changed.
    """
    name, judged = shown.configuration.name, {one.configuration.name for one in results}
    answers = [felt for felt in answers_of(results) if felt.felt_in in judged]
    said = [_words(felt, changes) for felt in answers if (changes := built_of(felt, name))]
    if said:  # of what, once or twice, is said once
        first, turn, more = "; ".join(said).partition(TURN)
        said = [f"{first}{turn}{more.replace(TURN, '')}"]
    beside = beside_words(results[0].elsewhere, shown.configuration, shown.near)
    return "; ".join([*said, beside] if beside else said)


def beside_words(
    elsewhere: Mapping[str, Elsewhere],
    configuration: Configuration,
    near: Mapping[str, Sequence[Near]] | None = None,
) -> str:
    """Return what a design does to complaints that are felt elsewhere, order by order.

    Args:
        elsewhere: The layouts in which they are felt, from ``elsewhere_of``.
        configuration: The design.
        near: What it hands on where they are felt, by their names, where that is at hand.

    Returns:
        As in "“boom” (felt in one-piece): cured (12 to 130 times less)"; "" for nothing.

    Raises:
        GeometryError: If the design cannot be reached.
    """
    if not elsewhere:
        return ""
    return "; ".join(_beside(elsewhere, configuration.name, near or nears_of(configuration)))


def felt_of(scene: Scene, choices: Sequence[Choice]) -> list[str]:
    """Return what each design does to the complaints of the scene; "" where it has none.

    Args:
        scene: The scene.
        choices: The designs.

    Returns:
        One a design, as ``beside_words`` says it.
    """
    elsewhere, said = elsewhere_of(scene, scene.configurations[0].complaints), []
    for choice in choices:
        near = choice.judged.measurements.numbers
        mine = nears_of(choice.configuration, near) if elsewhere else None
        said.append(beside_words(elsewhere, choice.configuration, mine))
    return said


def _beside(
    elsewhere: Mapping[str, Elsewhere], name: str, near: Mapping[str, Sequence[Near]]
) -> Iterator[str]:
    """Yield a clause for each complaint that is felt elsewhere."""
    for other in elsewhere.values():
        if other.lost is not None:
            yield f"“{other.complaint.name}” (felt in {other.configuration}): not compared"
    for felt in felt_beside(elsewhere, name, near):
        if said := changes_words([felt.changes[name]], felt):
            yield f"“{felt.complaint.name}” (felt in {felt.felt_in}): {said}"


def _words(felt: Felt, each: Sequence[Change]) -> str:
    """Return what changes of a complaint, the worst order first."""
    said = {one.order: "too small to feel" if one.small else SHORT[one.effect] for one in each}
    if len(set(said.values())) == 1:
        return f"“{felt.complaint.name}” {said[each[0].order]}"
    worst = sorted(said, key=lambda order: WORST_FIRST.index(said[order]))
    words = (f"{said[order]} if {TURNS[order]}" for order in worst if said[order] != "the same")
    return f"“{felt.complaint.name}” {', '.join(words)}"

"""What a check says to people: first what matters, or all of it; in lines that fit the reader.

Nothing is printed here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from sim.display import DisplayName
from sim.judge.findings import Finding
from sim.judge.notes import joint_1_words
from sim.judge.rule import MAY_FAIL
from sim.judge.sure_words import repeat_lines
from sim.measure.sag import sags_of
from sim.scene.parts import Scene
from sim.show.advice import advice_words, as_clause, nearest_words
from sim.show.lines import UNBROKEN, unbroken
from sim.show.outlook import (
    Outlook,
    finding_words,
    headline_words,
    outlook_of,
)
from sim.show.result import Result
from sim.show.which import best_of, next_step, which_to_build

if TYPE_CHECKING:
    from sim.explore.felt import Felt

WIDTH, MOST_LINES, MOST_DOUBTS, MOST_TO_DO, MOST_CURES = 110, 12, 3, 3, 2
AS_READ = (
    "Readings taken as exact: nothing says how sure, and no cure is tried, as none could be told "
    "to hold."
)
DOUBTED = (
    "No cure is tried{} before what is doubted was read again. If it is right, write at the top:"
)
RUBS = 5  # severity from which parts are at stake, not comfort
TAG = 7  # columns of the words "fails", "open", "watch", "do" before a line

Ink = Callable[[str, str], str]
"""Puts a word of a given meaning ("fails", "good", …) in color."""


Block = Callable[[Scene, Result, Outlook, int, Ink], Iterator[str]]
"""Yields the lines on one configuration, of a width, in color."""


def plain(meaning: str, text: str) -> str:
    """Leave a word as it is."""
    return text


def first_lines(
    scene: Scene, results: Sequence[Result], width: int = WIDTH, ink: Ink = plain
) -> Iterator[str]:
    """Yield what a reader needs first: which to build, what fails, what is open, what to do.

    Args:
        scene: The scene.
        results: One a configuration.
        width: Most columns of a line [-].
        ink: Puts words in color.
    """
    outlooks = [outlook_of(result, scene.display) for result in results]
    yield from told(scene, results, outlooks, _block, MOST_DOUBTS, width, ink)
    if (step := next_step(outlooks)) and all(r.findings.sureness for r in results):
        yield ""
        yield from wrap(step, width)
    yield ""


def told(
    scene: Scene,
    results: Sequence[Result],
    outlooks: Sequence[Outlook],
    block: Block,
    doubts: int,
    width: int,
    ink: Ink,
) -> Iterator[str]:
    """Yield the head, what a block says of every configuration, the answers to complaints.

    Args:
        scene: The scene.
        results: One a configuration.
        outlooks: Likewise.
        block: Yields the lines on one configuration.
        doubts: Most that are printed.
        width: Most columns of a line [-].
        ink: Puts words in color.
    """
    answers = _answers_in(results)
    yield from _head(scene, results, outlooks, answers, scene.doubts[:doubts], width, ink)
    if len(scene.doubts) > doubts:
        yield f"{len(scene.doubts) - doubts} more doubts: halfturn check --all"
    for result, outlook in zip(results, outlooks, strict=True):
        yield ""
        yield from block(scene, result, outlook, width, ink)
    if answers:
        from sim.show.felt_words import answer_lines

        yield from answer_lines(scene, answers, width)


def _answers_in(results: Sequence[Result]) -> tuple[Felt, ...]:
    """Return the answers to complaints; their words are loaded only where something is felt."""
    if not any(result.near for result in results):
        return ()
    from sim.show.felt_words import answers_of

    return answers_of(results)


def _worse(answers: Sequence[Felt], outlooks: Sequence[Outlook]) -> Iterator[str]:
    """Yield which complaints the one to build makes worse."""
    if answers:
        from sim.show.felt_words import worse_words

        if said := worse_words(answers, best_of(outlooks).name):
            yield said


def _head(
    scene: Scene,
    results: Sequence[Result],
    outlooks: Sequence[Outlook],
    answers: Sequence[Felt],
    doubts: Sequence[str],
    width: int,
    ink: Ink,
) -> Iterator[str]:
    """Yield what stands above all configurations: rule set, which to build, doubts."""
    yield from wrap(f"{scene.title}, judged by {results[0].findings.rule_set}", width)
    which = [which_to_build(outlooks)] if len(outlooks) > 1 else []
    yield from wrap(" ".join([*which, *_worse(answers, outlooks)]), width)
    if all(result.findings.sureness is None for result in results):
        yield from wrap(AS_READ, width)
    for doubt in doubts:
        yield from tagged("doubt", doubt, width, ink)
    stopped = [outlook for outlook in outlooks if outlook.doubted]
    if stopped:
        some = len(stopped) < len(outlooks)
        whose = f" for {' and '.join(one.name for one in stopped)}" if some else ""
        paths = (path for one in stopped for path in one.doubted)
        again = ", ".join(dict.fromkeys((*scene.read_again, *paths)))
        yield from tagged("", f'{DOUBTED.format(whose)} read_again = "{again}"', width, ink)


def _block(scene: Scene, result: Result, outlook: Outlook, width: int, ink: Ink) -> Iterator[str]:
    """Yield at most a dozen lines on one configuration."""
    sentence = wrap(f"{outlook.name}: {outlook.sentence}", width)
    sentence[0] = ink(outlook.grade, outlook.name) + sentence[0][len(outlook.name) :]
    do = list(_to_do(outlook, scene.display, width, ink))
    room = MOST_LINES - len(sentence) - len(do) - 1
    yield from sentence
    shown = 0
    told = [("fails", one) for one in outlook.fails] + [("open", one) for one in outlook.open]
    for tag, headline in told:
        lines = list(tagged(tag, headline_words(headline, scene.display), width, ink))
        if len(lines) > room:
            break
        shown, room = shown + 1, room - len(lines)
        yield from lines
    watch = list(_gravest_watch(outlook, room, scene, width, ink))
    yield from watch
    note = list(_planned_or_read(result, outlook, width, ink))
    yield from note if len(note) <= room - len(watch) else ()
    yield from do
    yield f"  {_more(outlook, shown)}"


def _planned_or_read(result: Result, outlook: Outlook, width: int, ink: Ink) -> Iterator[str]:
    """Yield by how much bearing 1 sags, or would, where that may turn a verdict on joint 1."""
    told = [one for lead in (*outlook.fails, *outlook.open) for one in (lead.lead, *lead.others)]
    if any(one.where == "joint 1" and one.unit == "deg" for one in told):
        sag = sags_of(result.configuration)[0] if result.configuration.bearings else None
        if sag is not None:
            yield from tagged("note", joint_1_words(sag), width, ink)


def _gravest_watch(
    outlook: Outlook, room: int, scene: Scene, width: int, ink: Ink
) -> Iterator[str]:
    """Yield the gravest thing to watch, if there is room: what may rub or break, then published."""
    watch = sorted(
        outlook.watch,
        key=lambda one: (one.lead.severity < RUBS, one.lead.standing not in MAY_FAIL),
    )
    if watch:
        said = finding_words(watch[0].lead, scene.display)
        lines = list(tagged("watch", said, width, ink))
        yield from lines if len(lines) <= room else ()


def _to_do(outlook: Outlook, display: DisplayName, width: int, ink: Ink) -> Iterator[str]:
    """Yield what to do first: what was tried and holds, or comes nearest, or settles the worst."""
    if outlook.nearest:
        line = f"No change found that cures all. {nearest_words(outlook.nearest)}"
        yield from _do(line, outlook.nearest.changes, width, ink, most=MOST_TO_DO + 1)
        return
    asked = [headline.lead for headline in (*outlook.fails, *outlook.open)]
    left = [finding for finding in asked if not finding.cures]
    among = [one for lead in (*outlook.fails, *outlook.open) for one in (lead.lead, *lead.others)]
    bad = ("fails", "cannot be told")
    uncured = [one for one in among if one.verdict in bad and not one.cures]
    if left and left[0] is asked[0]:
        line = next(repeat_lines(left[0], display), advice_words(left[0]))
        if outlook.doubted and left[0].cause != "contradiction":  # that says more
            line = f"Read {' and '.join(outlook.doubted)} again."
        same = any(one.where == left[0].where and one.cures for one in among)
        whose = _whose(left[:1], same) if outlook.cures else ""
        yield from _do(f"{whose}{as_clause(line) if whose else line}", (), width, ink)
    for cure in outlook.cures[:MOST_CURES]:
        done = set(cure.changes)
        cured = [one for one in among if any(set(c.changes) <= done for c in one.cures)]
        same = any(one.where == other.where for one in cured for other in uncured)
        whose = _whose(cured, same) if left and cured else ""
        said = as_clause(cure.says) if whose else cure.says
        yield from _do(f"{whose}{said}", cure.changes, width, ink)


def _whose(findings: Sequence[Finding], by_name: bool) -> str:
    """Return the parts that a line of what to do is for, by name where a part stands twice."""
    parts = dict.fromkeys(str(one.where) for one in findings)
    names = dict.fromkeys(as_clause(one.what) for one in findings)
    told = f" ({', '.join(names)})" if by_name else ""
    return f"For {' and '.join(parts)}{told}: "


def _do(
    said: str, changes: Sequence[str], width: int, ink: Ink, most: int = MOST_TO_DO
) -> list[str]:
    """Return what to do in few lines; what is to be written is never cut, words may be."""
    write = f"Write {', '.join(changes)}" if changes else ""
    lines = list(tagged("do", f"{said} {write}", width, ink))
    if len(lines) <= most:
        return lines
    written, words = list(tagged("", write, width, ink)), list(tagged("do", said, width, ink))
    kept = max(1, most - len(written))
    cut = [f"{words[kept - 1][: width - 2]} …"] if len(words) > kept else words[kept - 1 : kept]
    return [*words[: kept - 1], *cut, *written]


def _more(outlook: Outlook, shown: int) -> str:
    """Return how much more there is to read."""
    left = len(outlook.fails) + len(outlook.open) - shown
    cures = 0 if outlook.nearest else len(outlook.cures) - MOST_CURES  # the nearest cures all
    told = [f"{left} more" if left else "", f"{cures} more to do" if cures > 0 else ""]
    told += [f"{len(outlook.watch)} to watch", f"{outlook.passes} passed"]
    return f"{', '.join(word for word in told if word)}: halfturn check --all"


def tagged(tag: str, text: str, width: int, ink: Ink) -> Iterator[str]:
    """Yield a text behind a word that says what it is, wrapped to the width.

    Lines to write into a scene stay in one piece.
    """
    indent = " " * (2 + TAG)
    whole = unbroken(text)
    lines = wrap(whole, width, initial_indent=indent, subsequent_indent=indent)
    for number, line in enumerate(one.replace(UNBROKEN, " ") for one in lines):
        yield f"  {ink(tag, tag)}{' ' * (TAG - len(tag))}{line[2 + TAG :]}" if not number else line

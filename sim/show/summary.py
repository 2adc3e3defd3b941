"""What a check says to people: first what matters, or all of it; in lines that fit the reader.

Nothing is printed here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from sim.display import DEGREES, SHAFT_SPEED, DisplayName, display_of
from sim.judge.findings import Finding, Findings
from sim.judge.notes import joint_1_words
from sim.judge.rule import MAY_FAIL
from sim.judge.sure_words import repeat_lines, sure_lines
from sim.judge.words import beside_words, other_set_words
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
    from sim.world.agreement import Agreement

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


def _plain(meaning: str, text: str) -> str:
    """Leave a word as it is."""
    return text


def first_lines(
    scene: Scene, results: Sequence[Result], width: int = WIDTH, ink: Ink = _plain
) -> Iterator[str]:
    """Yield what a reader needs first: which to build, what fails, what is open, what to do.

    Args:
        scene: The scene.
        results: One a configuration.
        width: Most columns of a line [-].
        ink: Puts words in color.
    """
    outlooks = [outlook_of(result, scene.display) for result in results]
    yield from _head(scene, results, outlooks, scene.doubts[:MOST_DOUBTS], width, ink)
    if len(scene.doubts) > MOST_DOUBTS:
        yield f"{len(scene.doubts) - MOST_DOUBTS} more doubts: halfturn check --all"
    for result, outlook in zip(results, outlooks, strict=True):
        yield ""
        yield from _block(scene, result, outlook, width, ink)
    yield from _answered(scene, results, width)
    if (step := next_step(outlooks)) and all(r.findings.sureness for r in results):
        yield ""
        yield from wrap(step, width)
    yield ""


def _answered(scene: Scene, results: Sequence[Result], width: int) -> Iterator[str]:
    """Yield the answers to the scene's complaints; their words are loaded only then."""
    if any(result.near for result in results):
        from sim.show.felt_words import answer_lines, answers_of

        yield from answer_lines(scene, answers_of(results), width)


def _worse(results: Sequence[Result], outlooks: Sequence[Outlook]) -> Iterator[str]:
    """Yield which complaints the one to build makes worse; loaded only where something is felt."""
    if any(result.near for result in results):
        from sim.show.felt_words import answers_of, worse_words

        if said := worse_words(answers_of(results), best_of(outlooks).name):
            yield said


def _head(
    scene: Scene,
    results: Sequence[Result],
    outlooks: Sequence[Outlook],
    doubts: Sequence[str],
    width: int,
    ink: Ink,
) -> Iterator[str]:
    """Yield what stands above all configurations: rule set, which to build, doubts."""
    yield from wrap(f"{scene.title}, judged by {results[0].findings.rule_set}", width)
    which = [which_to_build(outlooks)] if len(outlooks) > 1 else []
    yield from wrap(" ".join([*which, *_worse(results, outlooks)]), width)
    if all(result.findings.sureness is None for result in results):
        yield from wrap(AS_READ, width)
    for doubt in doubts:
        yield from _tagged("doubt", doubt, width, ink)
    stopped = [outlook for outlook in outlooks if outlook.doubted]
    if stopped:
        some = len(stopped) < len(outlooks)
        whose = f" for {' and '.join(one.name for one in stopped)}" if some else ""
        paths = (path for one in stopped for path in one.doubted)
        again = ", ".join(dict.fromkeys((*scene.read_again, *paths)))
        yield from _tagged("", f'{DOUBTED.format(whose)} read_again = "{again}"', width, ink)


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
        lines = list(_tagged(tag, headline_words(headline, scene.display), width, ink))
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
            yield from _tagged("note", joint_1_words(sag), width, ink)


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
        lines = list(_tagged("watch", said, width, ink))
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
    lines = list(_tagged("do", f"{said} {write}", width, ink))
    if len(lines) <= most:
        return lines
    written, words = list(_tagged("", write, width, ink)), list(_tagged("do", said, width, ink))
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


def _tagged(tag: str, text: str, width: int, ink: Ink) -> Iterator[str]:
    """Yield a text behind a word that says what it is, wrapped to the width.

    Lines to write into a scene stay in one piece.
    """
    indent = " " * (2 + TAG)
    whole = unbroken(text)
    lines = wrap(whole, width, initial_indent=indent, subsequent_indent=indent)
    for number, line in enumerate(one.replace(UNBROKEN, " ") for one in lines):
        yield f"  {ink(tag, tag)}{' ' * (TAG - len(tag))}{line[2 + TAG :]}" if not number else line


def all_lines(
    scene: Scene, results: Sequence[Result], width: int = WIDTH, ink: Ink = _plain
) -> Iterator[str]:
    """Yield all there is to say about a scene.

    Args:
        scene: The scene.
        results: One a configuration.
        width: Most columns of a line [-].
        ink: Puts words in color.
    """
    outlooks = [outlook_of(result, scene.display) for result in results]
    yield from _head(scene, results, outlooks, scene.doubts, width, ink)
    for result, outlook in zip(results, outlooks, strict=True):
        yield ""
        yield from _everything(scene, result, outlook, width, ink)
    yield from _answered(scene, results, width)
    yield ""


def _everything(
    scene: Scene, result: Result, outlook: Outlook, width: int, ink: Ink
) -> Iterator[str]:
    """Yield every line on one configuration; its counts are those of the lines."""
    yield from wrap(f"{outlook.name}: {outlook.sentence}", width)
    groups = (("fails", outlook.fails), ("open", outlook.open), ("watch", outlook.watch))
    counts = ", ".join(f"{len(found)} {tag}" for tag, found in groups)
    yield f"  {counts}, {outlook.passes} passed"
    for difference in result.configuration.differences:
        yield from _tagged("new", difference, width, ink)
    for tag, found in groups:
        for headline in found:
            said: set[str] = set()
            for word, finding in ((tag, headline.lead), *(("also", f) for f in headline.others)):
                yield from _tagged(word, finding_words(finding, scene.display), width, ink)
                for line in _about(scene, finding):
                    yield from _tagged("", line, width, ink) if line not in said else ()
                    said.add(line)
    for note in result.findings.notes:
        yield from _tagged("note", note, width, ink)
    for line in _beside(scene, result):
        yield from _tagged("", line, width, ink)


def _about(scene: Scene, finding: Finding) -> Iterator[str]:
    """Yield what is behind a finding: source, how sure, what would change it."""
    if finding.shown:
        yield f"{beside_words(finding, scene.display)}."
    yield f"Source: {finding.source}."
    if finding.verdict == "watch" and finding.only_watched:
        yield f"Only watched: {finding.only_watched}."
    yield from sure_lines(finding, scene.display)
    yield advice_words(finding)


def _beside(scene: Scene, result: Result) -> Iterator[str]:
    """Yield critical speeds, other rule sets, and whether rigid bodies agree."""
    speed, share = display_of(scene.display).speed, result.configuration.limits.safe_share
    for critical in result.measurements.critical_speeds:
        yield (
            f"shaft {critical.shaft}: {share:.2f} of its critical speed at "
            f"{speed.say(critical.safe_road_speed)}, critical at {speed.say(critical.road_speed)} "
            f"({SHAFT_SPEED.say(critical.speed)}), by {critical.formula}"
        )
    yield from _not_sampled(result.findings)
    for other in result.findings.other_sets:
        yield other_set_words(other, scene.display)
    if result.agreement is not None:
        yield _agreed(result.agreement, scene)


def _not_sampled(findings: Findings) -> Iterator[str]:
    """Yield which checks were judged as read only, a line for every reason."""
    found = [] if findings.sureness is None else findings.findings
    for why in dict.fromkeys(f.not_sampled for f in found if f.not_sampled):
        rules = dict.fromkeys(f.rule for f in found if f.not_sampled == why)
        yield f"Judged as read, not by samples ({why}): {'; '.join(rules)}"


def _agreed(agreement: Agreement, scene: Scene) -> str:
    """Return how far the two routes are apart, in one line."""
    length = display_of(scene.display).length
    return (
        f"confirmed by rigid bodies within {DEGREES.of(agreement.joint_angle):.1g} deg of joint "
        f"angle, {length.of(agreement.slip):.1g} {length.name} of slip, "
        f"{agreement.speed_ratio:.1g} of speed ratio ({agreement.states} states)"
    )

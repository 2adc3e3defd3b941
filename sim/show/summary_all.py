"""All that a check has to say, with sources, how sure, and what was tried.

Nothing is printed here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from sim.display import DEGREES, SHAFT_SPEED, display_of
from sim.judge.findings import Finding, Findings
from sim.judge.sure_words import sure_lines
from sim.judge.words import beside_words, other_set_words
from sim.scene.parts import Scene
from sim.show.advice import advice_words
from sim.show.outlook import Outlook, finding_words, outlook_of
from sim.show.result import Result
from sim.show.summary import WIDTH, Ink, plain, tagged, told

if TYPE_CHECKING:
    from sim.world.agreement import Agreement


def all_lines(
    scene: Scene, results: Sequence[Result], width: int = WIDTH, ink: Ink = plain
) -> Iterator[str]:
    """Yield all there is to say about a scene.

    Args:
        scene: The scene.
        results: One a configuration.
        width: Most columns of a line [-].
        ink: Puts words in color.
    """
    outlooks = [outlook_of(result, scene.display) for result in results]
    yield from told(scene, results, outlooks, _everything, len(scene.doubts), width, ink)
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
        yield from tagged("new", difference, width, ink)
    for tag, found in groups:
        for headline in found:
            said: set[str] = set()
            for word, finding in ((tag, headline.lead), *(("also", f) for f in headline.others)):
                yield from tagged(word, finding_words(finding, scene.display), width, ink)
                for line in _about(scene, finding):
                    yield from tagged("", line, width, ink) if line not in said else ()
                    said.add(line)
    for note in result.findings.notes:
        yield from tagged("note", note, width, ink)
    for line in _beside(scene, result):
        yield from tagged("", line, width, ink)


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

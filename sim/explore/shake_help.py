"""What would help against a shake: every lever tried in the model, and judged again.

The layout is first built as ``check`` advises.  On top of that a lever is written as lines of the
scene and carried out; its shake is compared with that before it, in draws that both share.  It
helps where both kinds of ends say so, and is offered only where no verdict and no other shake gets
worse.
"""

from __future__ import annotations

from dataclasses import dataclass

from sim.explore.cures_before import Before
from sim.explore.cures_lines import carried_out
from sim.explore.felt import effect_of
from sim.explore.felt_near import BAND, Near, speed_of
from sim.explore.shake_amount import Asked, shaken
from sim.explore.shake_levers import shake_levers
from sim.explore.shake_trials import Help, Trials
from sim.judge.findings import Cure, Findings, widest
from sim.judge.rule import RuleSet
from sim.motion.torque import PULLED_AWAY
from sim.scene.parts import Complaint, Configuration

CRAWL = 5 / 3.6  # road speed below which nobody asks [m/s]; our choice


@dataclass(frozen=True, slots=True, kw_only=True)
class Helps:
    """What helps against a shake.

    Attributes:
        advised: What ``check`` advises, and what that does to the shake; None where it advises
            nothing, or nothing that cures all.
        tried: What each lever does on top of that: first what holds, most effect for its work
            first, two levers together only where none alone halves the shake; then what helps at
            a price; then what does not help.
    """

    advised: Help | None
    tried: tuple[Help, ...]


def asked_of(configuration: Configuration, complaint: Complaint, near: Near) -> Asked:
    """Return which shake a complaint asks to be less.

    Args:
        configuration: In which it is felt.
        complaint: What the driver feels.
        near: The order that may be it, from ``near_of``.
    """
    speed = speed_of(configuration, complaint, near.order)
    return Asked(
        height=near.state.height,
        situation=near.state.situation,
        order=near.order,
        slowest=speed - BAND,
        fastest=speed + BAND,
    )


def helps(
    configuration: Configuration,
    findings: Findings,
    rules: RuleSet,
    asked: Asked,
    others: dict[str, Asked] | None = None,
) -> Helps:
    """Return what every lever does to a shake.

    Args:
        configuration: In which it is felt, as it was read.
        findings: On it, with what would cure them.
        rules: That judged it.
        asked: Which shake.
        others: Shakes of other complaints that may not get worse, by a clause that says so;.

    Returns:
        What helps and what does not.  Nothing while readings are doubted or contradict, or were
        taken as exact, or where there is no such shake.

    Raises:
        GeometryError: If the parts cannot reach its state as read.
    """
    design = configuration.design
    contradicts = any(finding.cause == "contradiction" for finding in findings.findings)
    if design is None or configuration.doubted or contradicts or findings.sureness is None:
        return Helps(advised=None, tried=())
    as_read = shaken(design, asked)
    cures = cures_of(findings)
    changes = tuple(dict.fromkeys(line for cure in cures for line in cure.changes))
    built = carried_out(design, changes)
    as_is = shaken(built, asked)
    if as_read is None or as_is is None:
        return Helps(advised=None, tried=())
    anywhere = _anywhere(configuration, asked)
    over_all = shaken(built, anywhere)
    assert over_all is not None, "it has an amplitude at some of these road speeds"
    known = ((said, other, shaken(built, other)) for said, other in (others or {}).items())
    ratio = as_read.over(as_is)
    advised = Help(
        levers=(),
        does=" and ".join(cure.does for cure in cures),
        ratio=ratio,
        effect=effect_of(ratio) if ratio else "cannot be told",
        changes=changes,
        work=0,
    )
    trials = Trials(
        design=built,
        rules=rules,
        before=Before(findings.after or findings),
        asked=asked,
        as_is=as_is,
        anywhere=(anywhere, over_all),
        others={said: (other, was) for said, other, was in known if was is not None},
    )
    tried = trials.of(shake_levers(built.build(), asked.order))
    return Helps(
        advised=advised if changes else None,
        tried=tuple(sorted((one.help for one in tried), key=lambda one: one.standing)),
    )


def cures_of(findings: Findings) -> tuple[Cure, ...]:
    """Return what ``check`` advises to do to a layout: what cures all of its findings, or nothing.

    Args:
        findings: On it, with what would cure them.
    """
    if findings.after is None:
        return ()
    return widest(cure for f in findings.findings for cure in f.cures or (f.nearest,) if cure)


def _anywhere(configuration: Configuration, asked: Asked) -> Asked:
    """Return the same shake at all road speeds of its torque."""
    top = configuration.vehicle.top_speed
    pulling = asked.situation in ("pull-away", "hard launch")
    fastest = max(PULLED_AWAY, asked.fastest) if pulling else top
    return Asked(
        height=asked.height,
        situation=asked.situation,
        order=asked.order,
        slowest=min(CRAWL, asked.slowest),
        fastest=min(fastest, top),
    )

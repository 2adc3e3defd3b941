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
from sim.explore.felt_near import BAND, Near, speed_of
from sim.explore.shake_amount import Asked, shaken
from sim.explore.shake_levers import shake_levers
from sim.explore.shake_trials import Help, Trials
from sim.judge.findings import Findings
from sim.judge.rule import RuleSet
from sim.motion.torque import PULLED_AWAY
from sim.scene.parts import Complaint, Configuration

CRAWL = 5 / 3.6  # road speed below which nobody asks [m/s]; our choice


@dataclass(frozen=True, slots=True, kw_only=True)
class Helps:
    """What helps against a shake.

    Attributes:
        advised: What ``check`` advises, in a clause; "" where it advises nothing, or nothing that
            cures all.
        tried: What each lever does on top of that: first what holds, most effect for its work
            first, two levers together only where none alone halves the shake; then what helps at
            a price; then what does not help.
    """

    advised: str = ""
    tried: tuple[Help, ...] = ()


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
        balanced_at=configuration.vehicle.top_speed,
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
        others: Shakes of other complaints that may not get worse, by a clause that says so.

    Returns:
        What helps and what does not.  Nothing while readings are doubted or contradict, or were
        taken as exact, or where there is no such shake.

    Raises:
        GeometryError: If the parts cannot reach its state as read.
    """
    design = configuration.design
    contradicts = any(finding.cause == "contradiction" for finding in findings.findings)
    if design is None or configuration.doubted or contradicts or findings.sureness is None:
        return Helps()
    advice = findings.advice
    changes = tuple(dict.fromkeys(line for cure in advice for line in cure.changes))
    built = carried_out(design, changes)
    anywhere = _anywhere(configuration, asked)
    as_is, over_all = shaken(built, asked), shaken(built, anywhere)
    today = shaken(design, asked) if changes else as_is
    if as_is is None or over_all is None or today is None:
        return Helps()
    known = ((said, other, shaken(built, other)) for said, other in (others or {}).items())
    trials = Trials(
        design=built,
        rules=rules,
        before=Before(findings.after or findings),
        asked=asked,
        as_is=as_is,
        today=today,
        anywhere=(anywhere, over_all),
        others={said: (other, was) for said, other, was in known if was is not None},
    )
    balanced = built.vary({"vehicle.top_speed": asked.balanced_at})
    tried = trials.of(shake_levers(balanced.build(), asked.order))
    return Helps(
        advised=" and ".join(cure.does for cure in advice),
        tried=tuple(sorted((one.help for one in tried), key=lambda one: one.standing)),
    )


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
        balanced_at=asked.balanced_at,
    )

"""Findings in plain sentences, in the units of the reader."""

from __future__ import annotations

import re

from sim.display import DisplayName, amount
from sim.judge.findings import Finding, OtherSet
from sim.motion.states import State

SPEAKS = re.compile(r"\b(droop|bump|height|ride)\b")  # names that read well after "at"


def state_words(finding: Finding, display: DisplayName) -> str:
    """Return the state that causes a finding, in words, and what there is to say of it there.

    Args:
        finding: Whose state.
        display: Units of travel and road speed.
    """
    if finding.state is None:
        return finding.why
    said = finding.state.say(display, at_speed=finding.at_speed)
    return f"{said} ({finding.why})" if finding.why else said


def at_state(finding: Finding, display: DisplayName = "metric") -> str:
    """Return where a finding happens: " at " and its state, or "" where no state causes it.

    Args:
        finding: Whose state; a height that only the scene names is set in quotes.
        display: Units of travel and road speed.

    Returns:
        As in " at 2.13 in droop, hard launch" or " at height “loaded”, no torque" [text].
    """
    if finding.state is None:
        return f" ({finding.why})" if finding.why else ""
    return _at(finding.state, state_words(finding, display))


def _at(state: State, said: str) -> str:
    """Return " at " and the words of a state."""
    if state.height and not SPEAKS.search(state.height):
        said = f"height “{state.height}”{said.removeprefix(state.height)}"
    return f" at {said}"


def beside_words(finding: Finding, display: DisplayName = "metric") -> str:
    """Return the values of other states that are shown beside a finding, "" for none.

    Args:
        finding: Whose.
        display: Units of lengths and road speeds.

    Returns:
        As in "Beside it: 9.31 deg at height “loaded”, hard launch".
    """
    beside = (
        amount(shown.value, finding.unit, display)
        + _at(shown.state, shown.state.say(display, at_speed=finding.at_speed))
        for shown in finding.shown
    )
    return f"Beside it: {', '.join(beside)}" if finding.shown else ""


def short(finding: Finding, display: DisplayName = "metric") -> str:
    """Return a finding in few words, for one line on another rule set.

    Args:
        finding: What to say.
        display: Units of lengths and road speeds.

    Returns:
        As in "joint 1 0.30 deg is under 1.00 deg: fails".
    """
    value = amount(finding.value, finding.unit, display, beside=finding.limit)
    if finding.limit is None:
        return f"{finding.where} {value}: {finding.verdict}"
    kept = "keeps" if finding.verdict == "passes" else None
    side = kept or ("is over" if finding.relation == "at most" else "is under")
    limit = amount(finding.limit, finding.unit, display)
    return f"{finding.where} {value} {side} {limit}: {finding.verdict}"


def other_set_words(other: OtherSet, display: DisplayName = "metric") -> str:
    """Return one line on what another rule set says, led by what sets it apart.

    Args:
        other: What it says.
        display: Units of lengths and road speeds.

    Returns:
        As in "heavy truck: fails 1, watch 7, passes 47; here joint 1 0.26 deg is …".
    """
    counts = f"fails {other.fails}, watch {other.watch}, passes {other.passes}"
    line = f"{other.name}: {counts}"
    if other.stricter is not None:
        return f"{line}; here {short(other.stricter, display)}"
    if other.milder is not None:
        part, value = other.milder.where, amount(other.milder.value, other.milder.unit, display)
        return f"{line}; milder on {part} {value}"
    return f"{line}; the same as {other.chosen}"

"""Which states decide, and so are sampled."""

from __future__ import annotations

from collections.abc import Sequence

from sim.judge.findings import Findings
from sim.motion.states import State


def states_to_sample(states: Sequence[State], findings: Findings) -> tuple[State, ...]:
    """Return the states whose samples decide: named heights, and the worst state of every finding.

    Args:
        states: The whole sweep.
        findings: What was found in it, as the readings stand.

    Returns:
        Ride height without torque first, then the named ones, then those of findings: none may be
        left out, or its finding would be weighed without the state that decides.
    """
    ride = [state for state in states if state.situation == "ride height"]
    told = {finding.state for finding in findings.findings}
    named = [state for state in states if state.height and not state.roll]
    worst = [state for state in states if state in told]
    return tuple(dict.fromkeys([*(ride or states[:1]), *named, *worst]))

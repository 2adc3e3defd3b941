"""Which states decide, and so are sampled."""

from __future__ import annotations

from collections.abc import Sequence

from sim.judge.findings import Findings
from sim.motion.states import State

MOST_STATES = 25


def states_to_sample(states: Sequence[State], findings: Findings) -> tuple[State, ...]:
    """Return the states whose samples decide: the worst of every finding, and named heights.

    Args:
        states: The whole sweep.
        findings: What was found in it, as the readings stand.

    Returns:
        Ride height without torque first, then the named ones and the states of findings; of the
        latter as many as make 25 in all.
    """
    ride = [state for state in states if state.situation == "ride height"]
    told = {finding.state for finding in findings.findings}
    worst = [state for state in states if state in told]
    named = [state for state in states if state.height and not state.roll]
    kept = dict.fromkeys([*(ride or states[:1]), *named])
    more = [state for state in dict.fromkeys(worst) if state not in kept]
    return (*kept, *more[: max(MOST_STATES - len(kept), 0)])

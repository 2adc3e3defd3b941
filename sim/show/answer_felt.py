"""What the design that is to be built does to the complaints, in a few words."""

from __future__ import annotations

from collections.abc import Sequence

from sim.explore.felt import Felt, answer_to
from sim.explore.felt_near import near_of
from sim.show.felt_words import TURNS, felt_in_of
from sim.show.result import Result


def what_is_felt(results: Sequence[Result], shown: Result) -> str:
    """Return what a design does to the complaints that are felt in another configuration.

    Args:
        results: One a configuration, of one scene.
        shown: The design, its cures carried out.

    Returns:
        As in "“boom” cured if twice a turn; “shudder” worse"; "" where nothing is felt elsewhere.
    """
    judged = {result.configuration.name: result for result in results}
    said = []
    for complaint in shown.configuration.complaints:
        felt_in = felt_in_of(complaint, results)
        if felt_in not in judged or felt_in == shown.configuration.name:
            continue
        near = judged[felt_in].near[complaint.name], near_of(shown.configuration, complaint)
        felt = answer_to(complaint, "felt", dict(zip(("felt", "built"), near, strict=True)))
        said += [_words(felt)] if felt.changes["built"] else []
    return "; ".join(said)


def _words(felt: Felt) -> str:
    """Return what changes most of a complaint: of its likeliest order, else of the other one."""
    each = felt.changes["built"]
    told = next((one for one in each if one.effect != "the same"), each[0])
    alike = all(one.effect == told.effect for one in each)
    only = "" if alike else f" if {TURNS[told.order]}"
    return f"“{felt.complaint.name}” {told.effect}{only}"

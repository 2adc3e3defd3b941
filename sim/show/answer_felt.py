"""What the design that is to be built does to each complaint, in a line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sim.explore.felt import answer_to
from sim.explore.felt_near import near_of
from sim.show.answer_words import Line
from sim.show.felt_words import TURNS, effect_words, felt_in_of
from sim.show.result import Result


def what_is_felt(results: Sequence[Result], shown: Result) -> Iterator[Line]:
    """Yield what a design does to the complaints that are felt in another configuration.

    Args:
        results: One a configuration, of one scene.
        shown: The design, its cures carried out.
    """
    judged = {result.configuration.name: result for result in results}
    for complaint in shown.configuration.complaints:
        felt_in = felt_in_of(complaint, results)
        if felt_in not in judged or felt_in == shown.configuration.name:
            continue
        near = judged[felt_in].near[complaint.name], near_of(shown.configuration, complaint)
        felt = answer_to(complaint, "felt", dict(zip(("felt", "built"), near, strict=True)))
        each = felt.changes["built"]
        if each:
            first, *others = [f"{TURNS[one.order]} {effect_words([one])}" for one in each]
            first = first.replace(f"{each[0].effect} ", "", 1)  # stands before
            only = "if " if others else ""
            said = "; ".join([f"{only}{first}", *(f"if {other}" for other in others)])
            yield Line(name="Complaint", key=each[0].effect, words=f"“{complaint.name}”, {said}")

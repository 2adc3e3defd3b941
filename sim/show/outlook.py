"""What a configuration comes to, in one sentence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sim.display import DisplayName, amount
from sim.judge.findings import Cure, Finding, Findings, Verdict, widest
from sim.judge.judge import ORDER, rank
from sim.judge.words import at_state
from sim.show.advice import as_clause
from sim.show.result import Result

Grade = Literal["good", "good if", "good for less", "not"]
GRADES: tuple[Grade, ...] = ("good", "good if", "good for less", "not")  # the better first

GRAVE = 9  # severity of what takes parts apart or rubs them through


@dataclass(frozen=True, slots=True, kw_only=True)
class Headline:
    """Findings of one cause on one part: the gravest, and the others behind it.

    Attributes:
        lead: The gravest.
        others: What stands under it.
    """

    lead: Finding
    others: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What a configuration comes to.

    Attributes:
        name: Of the configuration.
        grade: "good" to build, "good if" something is so or is changed, "good for less" than the
            vehicle does today, or "not" as it stands.
        why: The rest of its sentence; what of it is good, open or wrong.
        even_then: What of that to watch would take parts apart or rub through, as it is or once
            the cures are carried out, as a clause; "" for nothing.
        fails: What fails, worst first.
        open: What cannot be told from failing.
        watch: What is worth watching.
        passes: How many checks passed.
        near: How many of them more than 5 % of what the readings allow would not.
        cures: What was carried out and holds, each once.
        nearest: What cures all but leaves more to watch, where the cures do not cure all.
        doubted: Paths of readings that are likely not what was meant: to be read again first.
    """

    name: str
    grade: Grade
    why: str
    even_then: str
    fails: tuple[Headline, ...]
    open: tuple[Headline, ...]
    watch: tuple[Headline, ...]
    passes: int
    near: int
    cures: tuple[Cure, ...]
    nearest: Cure | None
    doubted: tuple[str, ...] = ()

    @property
    def counts(self) -> dict[Verdict, int]:
        """How many causes fail, are open, are to watch; and how many checks passed."""
        told = (len(self.fails), len(self.open), len(self.watch), self.passes)
        return dict(zip(ORDER, told, strict=True))

    @property
    def sentence(self) -> str:
        """Its sentence, as in "not as it stands: the spline bottoms out (…)"."""
        if self.grade == "good":
            return f"good to build, but {self.even_then}" if self.even_then else "good to build"
        if self.grade == "not":
            return f"not as it stands: {self.why}"
        return f"good if {self.why}{self.still}"

    @property
    def still(self) -> str:
        """What ends "good if …", or nothing."""
        return f"; even then {self.even_then}" if self.even_then else ""


def outlook_of(result: Result, display: DisplayName) -> Outlook:
    """Return what a configuration comes to.

    Args:
        result: It, with the verdicts on it, worst first.
        display: Units of its sentence.
    """
    findings, doubted = result.findings, result.configuration.doubted
    by_rank: dict[int, list[Headline]] = {0: [], 1: [], 2: [], 3: []}
    for headline in headlines(findings.findings):
        by_rank[rank(headline.lead)[0]].append(headline)
    fails, still_open, watch, passes = (tuple(by_rank[k]) for k in range(4))
    asked = [f for f in findings.findings if rank(f)[0] < 2]
    cures = widest([cure for f in asked for cure in f.cures[:1]])
    grade, why = _verdict(fails, still_open, cures if all(f.cures for f in asked) else (), display)
    if grade == "good" and doubted:
        grade, why = "good if", f"you read {' and '.join(doubted)} again and find the same"
    return Outlook(
        name=findings.configuration,
        grade=grade,
        why=why,
        even_then=_grave(findings.after or findings, display),
        fails=fails,
        open=still_open,
        watch=watch,
        passes=len(passes),
        near=sum(headline.lead.near for headline in passes),
        cures=cures,
        nearest=next((f.nearest for f in asked if f.nearest), None),
        doubted=doubted,
    )


def headlines(findings: Sequence[Finding]) -> tuple[Headline, ...]:
    """Return findings by their causes.

    Args:
        findings: In their order: what stands under another right behind it.
    """
    groups: list[list[Finding]] = []
    for finding in findings:
        if finding.under and groups:
            groups[-1].append(finding)
        else:
            groups.append([finding])
    return tuple(Headline(lead=lead, others=tuple(others)) for lead, *others in groups)


def _verdict(
    fails: Sequence[Headline],
    still_open: Sequence[Headline],
    cures: Sequence[Cure],
    display: DisplayName,
) -> tuple[Grade, str]:
    """Return how good a configuration is, and why."""
    if not fails and not still_open:
        return "good", ""
    if cures:
        grade: Grade = "good for less" if any(cure.limits_use for cure in cures) else "good if"
        return grade, f"you {', and '.join(cure.does for cure in cures)}"
    if fails:
        return "not", _several(fails, display)
    findings = [finding for one in still_open for finding in (one.lead, *one.others)]
    weighed = [f for f in findings if rank(f)[0] < 2 and f.probability is not None]
    least = min(weighed, key=lambda finding: finding.probability or 0.0, default=None)
    if least is None or (least.probability or 0.0) > 0.5:
        return "good if", _several(still_open, display)
    clause = as_clause(least.what.rstrip("?"))
    return "not", f"it is not likely that {clause} ({value_words(least, display)})"


def _grave(findings: Findings, display: DisplayName) -> str:
    """Return what of that to watch would take parts apart or rub through, as a clause; "" else."""
    watched = (finding for finding in findings.findings if rank(finding)[0] == ORDER["watch"])
    grave = next((finding for finding in watched if finding.severity >= GRAVE), None)
    if grave is None:
        return ""
    return f"{as_clause(grave.what)}{at_state(grave, display)} ({value_words(grave, display)})"


def _several(found: Sequence[Headline], display: DisplayName) -> str:
    """Return the first of some findings as a clause, and how many more there are."""
    first, more = found[0].lead, len(found) - 1
    clause = f"{as_clause(first.what.rstrip('?'))} ({value_words(first, display)})"
    return clause + (f", and {more} more" if more else "")


def value_words(finding: Finding, display: DisplayName) -> str:
    """Return a part with its value and its limit, as in "joint 2 4.22 deg, at most 3.00 deg".

    Args:
        finding: Whose.
        display: Units shown.
    """
    value = f"{finding.where} {amount(finding.value, finding.unit, display, beside=finding.limit)}"
    if finding.limit is None:
        return value
    return f"{value}, {finding.relation} {amount(finding.limit, finding.unit, display)}"


def headline_words(headline: Headline, display: DisplayName) -> str:
    """Return findings of one cause in one line: the gravest, then the others by name.

    Args:
        headline: What to say.
        display: Units shown.

    Returns:
        As in "Joint angle is too large: joint 3 4.47 deg, at most 4.00 deg; also joint 2 4.22 deg";
        each value with its state where that is not the state of the gravest.
    """
    lead = headline.lead
    also = []
    for other in headline.others:
        value = f"{other.where} {amount(other.value, other.unit, display)}"
        if other.state is not None and at_state(other, display) != at_state(lead, display):
            value += at_state(other, display)
        same = other.rule == lead.rule
        also.append(value if same else f"{as_clause(other.what)} ({value})")
    return finding_words(lead, display) + (f"; also {', '.join(also)}" if also else "")


def finding_words(finding: Finding, display: DisplayName) -> str:
    """Return a finding in one line, without its source.

    Args:
        finding: What to say.
        display: Units shown.

    Returns:
        As in "The spline bottoms: spline −1.4 mm, at least 0.0 mm, at full bump, hard launch"; of
        an open question whose reading breaks the limit, "Paired angles match? Not as read: …".
    """
    asked = " Not as read:" if finding.as_read == "fails" else ""
    colon = asked if finding.what.endswith("?") else ":"
    state = at_state(finding, display)
    comma = "," if finding.state else ""
    return f"{finding.what}{colon} {value_words(finding, display)}{comma}{state}"

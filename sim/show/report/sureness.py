"""Tables on how sure the verdicts are: chances, what to read again first, what was not exact."""

from __future__ import annotations

from collections.abc import Sequence

from sim.display import Display, amount
from sim.judge.findings import Finding, Findings, Repeat, Sureness
from sim.judge.sure_words import between_words, percent
from sim.show.report.pages import Table

CERTAIN = 0.001  # a finding closer than this to never or always is not listed


def sureness_tables(findings: Findings, display: Display) -> tuple[Table, ...]:
    """Return what the report says of how sure the verdicts are.

    Args:
        findings: Weighed verdicts; others give no tables.
        display: Units shown.
    """
    if findings.sureness is None:
        return ()
    tables = (
        _chances(findings.findings, findings.sureness, display),
        _not_sampled(findings.findings),
        _again(findings.findings, display),
        _not_exact(findings.sureness),
    )
    return tuple(table for table in tables if table.rows)


def _chances(findings: Sequence[Finding], sureness: Sureness, display: Display) -> Table:
    """Return the chance of every finding that is neither certain to pass nor to break."""
    rows = []
    for finding in findings:
        p = finding.probability
        if p is None or finding.limit is None:
            continue
        if CERTAIN < p < 1 - CERTAIN:
            rows.append(
                (
                    f"{finding.rule} ({finding.where})",
                    amount(finding.value, finding.unit, display.name, beside=finding.limit),
                    between_words(finding, display.name),
                    f"{finding.relation} {amount(finding.limit, finding.unit, display.name)}",
                    percent(p),
                    finding.verdict,
                )
            )
    lost = ""
    if sureness.lost:
        lost = (
            f" In {100 * sureness.lost:.2f} % of the samples a state cannot be reached; "
            "these do not pass."
        )
    return Table(
        "How sure the verdicts are",
        ("check", "as read", "between", "limit", "passes in", "verdict"),
        tuple(rows),
        f"{sureness.samples} samples in {len(sureness.states)} states, seed {sureness.seed}: each "
        "reading normal, its ± the half width of a 95 % band, through the exact model. Where both "
        "outcomes are more likely than 5 % (a setting, common practice, no source) the verdict is "
        "“cannot be told”. Checks that are listed neither here nor as not sampled pass or break in "
        f"nearly all samples.{lost}",
    )


def _not_sampled(findings: Sequence[Finding]) -> Table:
    """Return what was judged as read only, and why."""
    rows = (
        (rule, ", ".join(f.where for f in findings if (f.rule, f.not_sampled) == (rule, why)), why)
        for rule, why in dict.fromkeys((f.rule, f.not_sampled) for f in findings)
        if why
    )
    return Table("Not sampled, judged as read", ("check", "of", "why"), tuple(rows))


def _again(findings: Sequence[Finding], display: Display) -> Table:
    """Return the readings worth taking again, those that narrow most verdicts first."""
    helped: dict[str, list[tuple[float, Finding, Repeat]]] = {}
    for finding in findings:
        for repeat in finding.repeats:
            gain = 1 - repeat.narrowed / _half(finding)
            helped.setdefault(repeat.reading, []).append((gain, finding, repeat))
    order = sorted(helped.items(), key=lambda item: -sum(gain for gain, _, _ in item[1]))
    rows = []
    for reading, entries in order:
        _, finding, repeat = max(entries, key=lambda entry: entry[0])
        before = amount(_half(finding), finding.unit, display.name)
        after = amount(repeat.narrowed, finding.unit, display.name)
        rows.append(
            (
                reading,
                repeat.text,
                "read it again" if repeat.status == "measured" else "measure it",
                str(len(entries)),
                f"{finding.rule} ({finding.where}): ± {before} to ± {after}",
            )
        )
    return Table(
        "What to read again first",
        ("reading", "as it stands", "do", "open verdicts narrowed", "most"),
        tuple(rows),
        "Read again: the mean of two readings. Measured: to half of what was assumed.",
    )


def _half(finding: Finding) -> float:
    """Return half of the 95 % band of a finding's value, in its unit."""
    assert finding.between is not None
    return (finding.between[1] - finding.between[0]) / 2


def _not_exact(sureness: Sureness) -> Table:
    """Return everything that was drawn, and what was taken as exact."""
    return Table(
        "What is not known exactly",
        ("reading", "as written or assumed", "from"),
        tuple(
            (name, text, "the scene" if status == "measured" else "assumed: usually not known")
            for name, text, status in sureness.sources
        ),
        f"Written without a ±, so taken as exact: {', '.join(sureness.exact) or 'nothing'}.",
    )

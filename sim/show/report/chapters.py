"""One chapter a configuration: its verdicts in words, its pictures, its numbers."""

from __future__ import annotations

from collections.abc import Sequence

from sim.display import DEGREES, Display, amount
from sim.judge.findings import Finding
from sim.judge.sure_words import sure_lines
from sim.judge.words import beside_words, other_set_words, state_words
from sim.show.advice import advice_words
from sim.show.outlook import outlook_of
from sim.show.report.bench import bench_tables
from sim.show.report.effects import effect_tables
from sim.show.report.exchange import least_gap, whirl_limit
from sim.show.report.loads import load_tables
from sim.show.report.numbers import largest_angle_of, state_tables
from sim.show.report.pages import Card, Chapter, Table
from sim.show.report.passes_close import clearance_tables
from sim.show.report.pictures import embedded
from sim.show.report.read_twice import read_twice
from sim.show.report.shakes import shake_tables
from sim.show.report.sureness import sureness_tables
from sim.show.report.whirl import whirl_tables
from sim.show.result import Result

_STANDINGS = {
    "published": "published",
    "common practice": "common practice: watch at most",
    "from memory": "from memory: watch at most",
    "second-hand": "second-hand: watch at most",
    "proposal": "proposal: watch at most",
    "shop": "set by the shop",
    "physical": "the parts themselves",
}


def chapter_of(result: Result, display: Display) -> Chapter:
    """Return everything that the report says of one configuration.

    Args:
        result: What it came to.
        display: Units shown.
    """
    configuration, findings = result.configuration, result.findings.findings
    outlook = outlook_of(result, display.name)
    passed = [finding for finding in findings if finding.verdict == "passes"]
    return Chapter(
        anchor="".join(c if c.isalnum() else "-" for c in configuration.name),
        name=configuration.name,
        about=configuration.about,
        sentence=outlook.sentence,
        counts=outlook.counts,
        cards=tuple(_card(f, display) for f in findings if f.verdict != "passes"),
        passed=Table(
            f"{len(passed)} checks passed",
            ("check", "value", "limit", "state", "source"),
            tuple(_passed(finding, display) for finding in passed),
        ),
        other_sets=tuple(other_set_words(o, display.name) for o in result.findings.other_sets),
        pictures=embedded(result.pictures),
        tables=(
            *bench_tables(result.measurements, display),
            *state_tables(result.measurements, display),
            *clearance_tables(result.measurements, result.findings, display),
            *shake_tables(result, display),
            *read_twice(result.measurements, display),
            *whirl_tables(result.measurements, display),
            *load_tables(result.measurements, display),
            *sureness_tables(result.findings, display),
            *(effect_tables(result.effects, display) if result.effects else ()),
        ),
        differences=configuration.differences,
    )


def glance(results: Sequence[Result], display: Display) -> Table:
    """Return the configurations beside each other, a few numbers each.

    Args:
        results: One a configuration.
        display: Units shown.
    """
    rows = []
    for result in results:
        m, counts = result.measurements, outlook_of(result, display.name).counts
        angle, where = largest_angle_of(m, display)
        rows.append(
            (
                result.configuration.name,
                str(counts["fails"]),
                str(counts["cannot be told"]),
                str(counts["watch"]),
                str(counts["passes"]),
                display.speed.number(whirl_limit(m)),
                f"{DEGREES.number(angle)} ({where})",
                display.length.number(least_gap(m)),
            )
        )
    first = results[0].configuration
    return Table(
        "At a glance",
        (
            "configuration",
            "fail",
            "cannot be told",
            "watch",
            "pass",
            f"whirl limit, {first.limits.safe_share:.2f} of critical [{display.speed.name}]",
            "largest joint angle while turning [deg]",
            f"least spline gap [{display.length.name}]",
        ),
        tuple(rows),
        f"Top speed asked: {display.speed.say(first.vehicle.top_speed)}.",
    )


def _card(finding: Finding, display: Display) -> Card:
    """Return a finding that does not pass, in words."""
    return Card(
        verdict=finding.verdict,
        what=finding.what,
        value=f"{finding.where}: {_value(finding, display)}, wanted {_limit(finding, display)}",
        state=_state(finding, display),
        meaning=finding.meaning,
        remedy=advice_words(finding),
        source=finding.source,
        standing=_STANDINGS[finding.standing],
        sure=tuple(sure_lines(finding, display.name)),
    )


def _passed(finding: Finding, display: Display) -> tuple[str, ...]:
    """Return a check that passed as a row."""
    return (
        f"{finding.what} ({finding.where})",
        _value(finding, display),
        _limit(finding, display),
        _state(finding, display) or "–",
        f"{finding.source} [{finding.standing}]",
    )


def _state(finding: Finding, display: Display) -> str:
    """Return the state of a finding, and what is shown of others."""
    said = state_words(finding, display.name), beside_words(finding, display.name)
    return "; ".join(filter(None, said))


def _value(finding: Finding, display: Display) -> str:
    """Return the value of a finding in the units shown."""
    return amount(finding.value, finding.unit, display.name, beside=finding.limit)


def _limit(finding: Finding, display: Display) -> str:
    """Return the limit of a finding in the units shown."""
    if finding.limit is None:
        return "no limit"
    return f"{finding.relation} {amount(finding.limit, finding.unit, display.name)}"

"""Findings: what a rule says about a measurement, in plain words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from sim.judge.part import Where
from sim.motion.states import State

Verdict = Literal["passes", "watch", "fails", "cannot be told"]
Relation = Literal["at most", "at least"]
Standing = Literal[
    "published", "second-hand", "from memory", "common practice", "proposal", "shop", "physical"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A value that is shown beside that of a finding: the worst of other states.

    Attributes:
        state: The state.
        value: In the unit of the finding.
    """

    state: State
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeat:
    """A reading that is worth taking again, or a default worth measuring, for one finding.

    Attributes:
        reading: Its path, as in "output.slope".
        text: As written, or as assumed.
        status: "measured", or "assumed" where a default stands in.
        share: Share of the value's variance that it brings about by itself [-].
        narrowed: Half width of the value's 95 % band once a measured reading was taken again, or
            a default was measured to half its ±, in the unit of the finding.
        agreed: Probability that the finding passes once it was, with the same result [-].
    """

    reading: str
    text: str
    status: str
    share: float
    narrowed: float
    agreed: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """A change that was carried out in the model, judged by every rule, and holds.

    Attributes:
        does: What to do, in a clause.
        says: The same in a sentence, with what each part of it is for and what it takes out.
        changes: The same as lines of the scene, as in 'bearing.1.up = "534 mm"'.
        limits_use: Whether the vehicle may then do less: a lower top speed, less travel.
        leaves: What passed before and is then worth watching, in words; "" for nothing.
    """

    does: str
    says: str
    changes: tuple[str, ...]
    limits_use: bool = False
    leaves: str = ""


def widest(cures: Iterable[Cure]) -> tuple[Cure, ...]:
    """Return every cure once, without those that are part of another."""
    once = tuple(dict.fromkeys(cures))
    return tuple(c for c in once if not any(set(c.changes) < set(o.changes) for o in once))


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One verdict.

    Attributes:
        rule: Identifier of the rule, as in "front joint, most".
        verdict: "passes", "watch" or "fails"; "cannot be told" where the readings leave it open.
        what: Headline in plain words, as in "The spline bottoms".
        where: The part in words, as in "joint 2" or "spline"; ``part`` is the same by number.
        state: The state that the value is from; None where no state changes it.
        why: What brings the value about where no state does, or what there is to say of it in its
            state; "" else.
        value, limit: In the unit below; limit None where there is none.
        unit: Unit of both for machines ("deg", "mm", "rad/s²", "km/h", "%", "N m", "km").
        relation: How the value must stand to the limit: "at most" or "at least".
        source: The published source, or "common practice, no source", "from memory: …".
        standing: What the source is worth; "physical" where the parts themselves contradict.
        meaning: What it means for the vehicle, one sentence.
        remedy: What would change it, one sentence.
        severity: Rank among findings of the same verdict; larger is worse.
        cause: What brings it about; findings of one cause in one group belong together.
        group: Parts that share their causes, as in "joint 1", "pinion" or "joints 2 and 3".
        under: Rule of the graver finding of the same cause and group under which it stands;
            "" for one that passes or stands by itself.
        shown: Values of other states, shown beside.
        not_sampled: Why its quantity is not weighed by samples; "" where it is.
        at_speed: Whether the value depends on the road speed of the state.
        cures: What would make it pass and nothing else worse; the least change first.
        tried: What was tried in vain where no cure was found, as in "the pinion (to 4 deg)".
        nearest: What then cures all that fails or may fail on the configuration, but leaves more
            to watch; None if nothing does.
        at_worst: The verdict where the limit is broken.
        only_watched: Why it cannot fail in its state, as in "its size is assumed"; "" if it can.
        as_read: The verdict if every reading were exact.
        probability: Probability that it passes [-], or None where it was not asked for; where it
            fails in more than 5 % of the samples that it does not fail, watched or not.
        between: 95 % band of the value, in the unit.
        near: Whether the limit, one that only watches, lies well inside the band of the value.
        repeats: What to read again, most telling first; where it cannot be told.
        telling: Where no reading settles it by itself, or it is only near its limit, those that
            spread it most.
    """

    rule: str
    verdict: Verdict
    what: str
    where: str
    state: State | None
    value: float
    limit: float | None
    unit: str
    relation: Relation
    source: str
    standing: Standing
    meaning: str
    remedy: str
    severity: float
    part: Where | None = None
    why: str = ""
    cause: str = ""
    group: str = ""
    under: str = ""
    shown: tuple[Shown, ...] = ()
    not_sampled: str = ""
    at_speed: bool = False
    cures: tuple[Cure, ...] = ()
    tried: tuple[str, ...] = ()
    nearest: Cure | None = None
    at_worst: Verdict = "watch"
    only_watched: str = ""
    as_read: Verdict | None = None
    probability: float | None = None
    between: tuple[float, float] | None = None
    near: bool = False
    repeats: tuple[Repeat, ...] = ()
    telling: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """What one reading does to one finding by itself.

    Attributes:
        reading: Its path.
        text: As written, or as assumed.
        status: "measured", or "assumed" where a default stands in.
        low, high: Value of the finding with the reading at the low and at the high end of its 95 %
            band, all others as they were read, in the unit of the finding.
    """

    reading: str
    text: str
    status: str
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tornado:
    """What every reading does to one finding, the widest swing first.

    Attributes:
        rule, where: Of the finding.
        swings: One a reading.
    """

    rule: str
    where: str
    swings: tuple[Swing, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sureness:
    """How the verdicts on one configuration were weighed.

    Attributes:
        seed, samples: Of the random readings.
        states: Labels of the states that were sampled.
        lost: Share of the samples in which some state cannot be reached; they do not pass.
        sources: Path, text and status of everything that is not known exactly.
        exact: Paths of what was read without a ±, and was taken as exact.
        tornadoes: For the findings that readings could turn, most urgent first.
    """

    seed: int
    samples: int
    states: tuple[str, ...]
    lost: float
    sources: tuple[tuple[str, str, str], ...]
    exact: tuple[str, ...]
    tornadoes: tuple[Tornado, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherSet:
    """What another rule set would say of a configuration.

    Attributes:
        name: Of that set.
        chosen: Name of the set that was asked for.
        fails, watch, passes: How many findings come to each.
        stricter: The first finding that is worse than what the chosen set says of the same, or
            None.
        milder: Where none is worse: the first finding of the chosen set that this one takes less
            seriously or not at all, or None.
    """

    name: str
    chosen: str
    fails: int
    watch: int
    passes: int
    stricter: Finding | None
    milder: Finding | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """All verdicts on one configuration under one rule set.

    Attributes:
        configuration: Its name.
        rule_set: Name of the rule set.
        findings: Worst first; each that stands under another one right behind it.
        notes: How far the model can be trusted here, and what the rule set had to leave open.
        other_sets: What each other rule set would say; ``words.other_set_words`` says it.
        sureness: How the verdicts were weighed, or None where every reading was taken as exact.
        after: The findings once all cures, or the nearest, were carried out together; None where
            these do not cure all, or there is nothing to cure.
    """

    configuration: str
    rule_set: str
    findings: tuple[Finding, ...]
    other_sets: tuple[OtherSet, ...]
    notes: tuple[str, ...] = ()
    sureness: Sureness | None = None
    after: Findings | None = None

    @property
    def advice(self) -> tuple[Cure, ...]:
        """What cures all of them, after which ``after`` is found; nothing where nothing does."""
        if self.after is None:
            return ()
        nearest = next((finding.nearest for finding in self.findings if finding.nearest), None)
        if nearest is not None:  # it cures all by itself, not beside what cures some
            return (nearest,)
        return widest(cure for finding in self.findings for cure in finding.cures)

    @property
    def fails(self) -> bool:
        """Whether any finding fails."""
        return any(finding.verdict == "fails" for finding in self.findings)

    @property
    def may_fail(self) -> bool:
        """Whether any finding fails, or cannot be told from failing."""
        open_ones = (f for f in self.findings if f.verdict == "cannot be told")
        return self.fails or any(finding.at_worst == "fails" for finding in open_ones)

    def __repr__(self) -> str:
        verdicts = [finding.verdict for finding in self.findings]
        counts = ", ".join(f"{verdicts.count(v)} {v}" for v in dict.fromkeys(verdicts))
        return f"Findings({self.configuration!r}, {self.rule_set!r}: {counts})"

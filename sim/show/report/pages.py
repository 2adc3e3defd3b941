"""What the report's template is filled with: plain values that hold text, no numbers to format."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from sim.judge.findings import Verdict


@dataclass(frozen=True, slots=True)
class Table:
    """A table of text.

    Attributes:
        title: What it shows.
        head: Column heads, units in brackets.
        rows: Cells, row by row; the first cell of a row names it.
        note: What must be known to read it, or "".
    """

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Card:
    """One finding in words.

    Attributes:
        verdict: "passes", "watch" or "fails".
        what: Headline.
        value: The part with its value, and the limit.
        state: The state that causes it, or "".
        meaning: One sentence.
        remedy: What would change it; what holds with the lines to write.
        source: Where the limit is written.
        standing: What the source is worth.
        sure: What the readings leave open, and what to read again; a sentence each.
    """

    verdict: Verdict
    what: str
    value: str
    state: str
    meaning: str
    remedy: str
    source: str
    standing: str
    sure: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture inside the file, with its caption: a still by its data address, a plot as SVG."""

    caption: str
    address: str = ""
    plot: Markup | None = None


@dataclass(frozen=True, slots=True)
class Film:
    """The film beside the report: its file name and the address of its still."""

    name: str
    poster: str


@dataclass(frozen=True, slots=True)
class Chapter:
    """Everything about one configuration.

    Attributes:
        anchor: Identifier inside the page.
        name, about: As the scene says.
        sentence: What it comes to, as in "good to build".
        counts: How many causes fail, are open, are to watch; how many checks passed.
        cards: Findings that do not pass, worst first.
        passed: The checks that passed.
        other_sets: One line on what each other rule set would say.
        pictures: Plots and stills.
        tables: Numbers.
        differences: What it changes against the one it is like.
    """

    anchor: str
    name: str
    about: str
    sentence: str
    counts: dict[Verdict, int]
    cards: tuple[Card, ...]
    passed: Table
    other_sets: tuple[str, ...]
    pictures: tuple[Picture, ...]
    tables: tuple[Table, ...]
    differences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Exchange:
    """What one configuration buys and costs against another, in words.

    Attributes:
        first, second: Names.
        buys, costs: What the second one has better, and worse, than the first.
        whirl: At which road speeds both meet their critical speed, by which formula.
    """

    first: str
    second: str
    buys: tuple[str, ...]
    costs: tuple[str, ...]
    whirl: str

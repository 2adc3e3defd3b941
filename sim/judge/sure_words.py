"""How sure a finding is, in words, in the units of the reader."""

from __future__ import annotations

from collections.abc import Iterator

from sim.display import DisplayName, amount
from sim.judge.findings import Finding, Repeat


def chance_words(finding: Finding) -> str:
    """Return how likely a finding passes, as in "passes in 85 %".

    Args:
        finding: A weighed finding.

    Returns:
        The words; "" for a finding that was not weighed.
    """
    return "" if finding.probability is None else f"passes in {percent(finding.probability)}"


def percent(share: float) -> str:
    """Return a share in whole percents; what is not certain is neither 0 nor 100 %.

    Example:
        >>> percent(0.846), percent(0.9999), percent(1.0)
        ('85 %', '99 %', '100 %')
    """
    whole = round(100 * share)
    if 0 < share < 1:
        whole = min(max(whole, 1), 99)
    return f"{whole} %"


def between_words(finding: Finding, display: DisplayName = "metric") -> str:
    """Return the 95 % band of the value, as in "0.06 deg and 0.68 deg", or "".

    Args:
        finding: A weighed finding.
        display: Units of lengths and road speeds.
    """
    if finding.between is None:
        return ""
    low, high = (amount(end, finding.unit, display) for end in finding.between)
    return f"{low} and {high}"


def sure_lines(finding: Finding, display: DisplayName = "metric") -> Iterator[str]:
    """Yield what the readings leave open about a finding, and what to read again.

    Args:
        finding: One that cannot be told, or is near its limit; any other yields nothing.
        display: Units of lengths and road speeds.

    Yields:
        Sentences: how likely it passes, then what to read again, most telling first.
    """
    between = f"the value lies between {between_words(finding, display)}"
    if finding.near:
        yield f"Near its limit: {between}"
    elif finding.verdict == "cannot be told" and finding.between is not None:
        yield f"Cannot be told from these readings ({chance_words(finding)}); {between}"
        yield from repeat_lines(finding, display)


def repeat_lines(finding: Finding, display: DisplayName = "metric") -> Iterator[str]:
    """Yield what to read again, most telling first; nothing where that would settle nothing.

    Args:
        finding: A weighed finding.
        display: Units of lengths and road speeds.
    """
    low, high = finding.between or (0.0, 0.0)
    half = amount((high - low) / 2, finding.unit, display)
    return (_repeat(finding, repeat, half, display) for repeat in finding.repeats)


def _repeat(finding: Finding, repeat: Repeat, half: str, display: DisplayName) -> str:
    """Return what one more reading would do."""
    narrowed = amount(repeat.narrowed, finding.unit, display)
    if repeat.status == "measured":
        what, same = f"Read {repeat.reading} ({repeat.text}) again", "if it reads the same"
    else:
        what = f"Measure {repeat.reading} (assumed {repeat.text}) to half of that"
        same = "if it is as assumed"
    gain = f"± {half} would narrow to ± {narrowed}"
    return f"{what}: {gain}; {same}, passes in {percent(repeat.agreed)}"

"""What to do about a finding, in words."""

from __future__ import annotations

from sim.judge.findings import Cure, Finding

NONE_FOUND = "No change found that holds and leaves no more to watch"
NOT_TRIED = "Not tried: the output's place, ride height, other joints, one shaft more."


def advice_words(finding: Finding) -> str:
    """Return what to do about a finding: what holds with the lines to write, or else its remedy.

    What was tried in vain takes the place of the remedy; what passes as read and is only not sure
    needs none yet.

    Args:
        finding: With its cures, or with what was tried in vain.
    """
    if finding.cures:
        return " ".join(f"{c.says} Write {', '.join(c.changes)}" for c in finding.cures)
    said = [_closer(finding)]
    if finding.tried:
        said.append(f"{NONE_FOUND}; tried: {', '.join(finding.tried)}.")
        said += [] if finding.nearest else [NOT_TRIED]
    if finding.nearest:
        lines = ", ".join(finding.nearest.changes)
        said.append(f"{nearest_words(finding.nearest)} Write {lines}")
    return " ".join(words for words in said if words) or finding.remedy


def _closer(finding: Finding) -> str:
    """Return what to read closer, where that comes before any change or would say more; "" else."""
    which = " and ".join(() if finding.near else finding.telling)
    read = f"read {which} closer" if which else "take closer readings"
    kept = finding.verdict == "cannot be told" and finding.as_read in ("passes", "watch")
    if kept and finding.part:  # that of "reach" is of readings
        return f"It keeps its limit as read: {read} before anything is moved."
    return f"{read[:1].upper()}{read[1:]}: nothing spreads it more." if which else ""


def nearest_words(nearest: Cure) -> str:
    """Return what cures all but leaves more to watch, without the lines to write."""
    return f"Nearest: {as_clause(nearest.says).rstrip('.')}; it leaves to watch: {nearest.leaves}."


def as_clause(text: str) -> str:
    """Return a sentence that goes on within another."""
    return f"{text[:1].lower()}{text[1:]}"

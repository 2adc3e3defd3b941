"""Which of several configurations to build, and why, in one sentence."""

from __future__ import annotations

from collections.abc import Sequence

from sim.judge.findings import Cure
from sim.show.outlook import GRADES, Outlook


def best_of(outlooks: Sequence[Outlook]) -> Outlook:
    """Return the one to build, or the one that comes nearest; of equal ones the first."""
    return min(outlooks, key=_merit)


def which_to_build(outlooks: Sequence[Outlook]) -> str:
    """Return which of several configurations to build, or that none is sound, and why.

    Args:
        outlooks: One a configuration, at least two, in the order of the scene.

    Returns:
        One sentence [text].
    """
    best = best_of(outlooks)
    if best.grade == "not" and best.nearest:
        return f"None is sound yet. {best.name} comes nearest if you {_leaving(best.nearest)}."
    if best.grade == "not":
        return f"None is sound yet. {best.name} comes nearest: {best.why}."
    if best.grade == "good for less":
        only = f"{best.name} is, if {best.why}{best.still}"
        return f"None is sound for all that the vehicle does; {only}."
    others = [one for one in outlooks if one is not best]
    worse = [one for one in others if one.grade == "not"]
    build = "Build" if best.grade == "good" else "The one to build is"
    said = f"{build} {best.name}"
    if best.grade == "good if":
        said += f", if {best.why}{best.still}"
    more = f", but {best.even_then}" if best.even_then else ""
    sound = f": nothing on it fails or is open{more}" if best.grade == "good" else ""
    if worse and worse[0].nearest:
        needs = _leaving(worse[0].nearest)
        return f"{said}{sound}; {worse[0].name} is not sound unless you {needs}."
    if worse:
        return f"{said}{sound}; {worse[0].name} is not sound: {worse[0].why}."
    if others[0].grade != best.grade:
        return f"{said}{sound}; {others[0].name} is good only if {others[0].why}{others[0].still}."
    return f"{said}; {_fewer(best, others)}."


def next_step(outlooks: Sequence[Outlook]) -> str:
    """Return which command comes next.

    Args:
        outlooks: One a configuration.

    Returns:
        One sentence [text]; "" while readings are doubted, which come first.
    """
    if any(one.doubted for one in outlooks):
        return ""
    grade = best_of(outlooks).grade
    if grade in ("good", "good if"):
        changed = " with the change carried out" if grade == "good if" else ""
        return f"Next: halfturn answer says what to build{changed}; then sheet and template."
    return "Next: halfturn design looks for a layout that is sound, at every place, wedge and tube."


def _leaving(nearest: Cure) -> str:
    """Return what cures but leaves more to watch, as a clause."""
    return f"{nearest.does}, which leaves to watch: {nearest.leaves}"


def _fewer(best: Outlook, others: Sequence[Outlook]) -> str:
    """Return why the best of equally good ones is the best."""
    alike = [one for one in others if one.grade == best.grade]
    least = min(len(one.watch) for one in alike)
    if len(best.watch) < least:
        things = "thing" if len(best.watch) == 1 else "things"
        return f"it leaves {len(best.watch)} {things} to watch, the next {least}"
    alike = [one for one in alike if len(one.watch) == least]
    nearest = min(one.near for one in alike)
    if best.near < nearest:
        are = "is near its limit" if best.near == 1 else "are near their limits"
        return f"{best.near} of its checks {are}, of the next {nearest}"
    same = (one.name for one in alike if one.near == nearest)
    return f"{' and '.join(same)} would do as well"


def _merit(outlook: Outlook) -> tuple[float, ...]:
    """Return what configurations are compared by, the gravest failure first; the least is best."""
    return (
        GRADES.index(outlook.grade),
        outlook.nearest is None and outlook.grade == "not",
        max((one.lead.severity // 1 for one in outlook.fails), default=0.0),
        len(outlook.fails),
        len(outlook.open),
        len(outlook.watch),
        outlook.near,
    )

"""The answer to a complaint in at most six lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from sim.display import Display, display_of
from sim.explore.felt import Band, Change, Felt, Fit, answer_to
from sim.explore.felt_near import Meeting
from sim.motion.states import Situation
from sim.motion.sweep import RIDE_HEIGHT
from sim.scene.parts import Complaint, Scene
from sim.scene.structure import When
from sim.show.complaint_words import complaint_title
from sim.show.lines import indented
from sim.show.result import Result

AS_ADVISED = " as advised"  # behind the name of a layout: with its cures carried out
TURNS = {1: "once a turn", 2: "twice a turn"}
CAUSES = {1: "unbalance or a bent shaft", 2: "joints"}
KNOWN = 0.02  # of a road speed, within which nobody needs its band
UNDER: dict[Situation, str] = {
    "cruise": " at a steady speed",
    "pull-away": " pulling away",
    "overrun": " on the overrun",
}
WITHOUT_WORDS: dict[When | None, Situation] = {  # the torque that goes without saying
    None: "cruise",
    "any": "cruise",
    "drive": "pull-away",
    "coast": "overrun",
}
SHOP = {"output": "gearbox", "bearing": "bracket", "pinion": "axle"}


def answers_of(results: Sequence[Result]) -> tuple[Felt, ...]:
    """Return the answers to the complaints, where what they are felt in was judged or shaken.

    What ``check`` advises for a layout is carried out in it: so it is compared, with what is felt
    in the layout as it stands; the one in which it is felt, too.

    Args:
        results: One a configuration, of one scene.
    """
    answers = []
    for complaint in results[0].configuration.complaints:
        felt_in = felt_in_of(complaint, results)
        near = {}
        for one in results:
            name = one.configuration.name
            if one.near and (name == felt_in or not one.advised):
                near[name] = one.near[complaint.name]
            if one.advised:
                near[f"{name}{AS_ADVISED}"] = one.advised[complaint.name]
        other = results[0].elsewhere.get(complaint.name)
        if other is not None and other.lost is None:
            near[felt_in] = other.near
        if felt_in in near:
            answers.append(answer_to(complaint, felt_in, near))
    return tuple(answers)


def felt_in_of(complaint: Complaint, results: Sequence[Result]) -> str:
    """Return the name of the configuration in which a complaint is felt: else the first judged."""
    if complaint.name in results[0].elsewhere:
        return results[0].elsewhere[complaint.name].configuration
    return complaint.felt_in or results[0].configuration.name


def answer_lines(scene: Scene, answers: Sequence[Felt], width: int) -> Iterator[str]:
    """Yield the answers to complaints, each with its title.

    Args:
        scene: The scene.
        answers: To its complaints.
        width: Most columns of a line [-].
    """
    display = display_of(scene.display)
    for felt in answers:
        yield from ["", *indented(felt_title(felt, display), "", width)]
        for line in felt_lines(felt, display):
            yield from indented(line, "  ", width)


def felt_title(felt: Felt, display: Display) -> str:
    """Return what is felt, in which configuration, and at which height that is looked at."""
    load, title = felt.complaint.load, complaint_title(felt.complaint, display)
    where = ""
    if load != "empty" and any(fit.height == RIDE_HEIGHT.name for fit in felt.fits):
        lacks = ": the scene has no loaded height" if load == "loaded" else ""
        where = f"; looked at ride height{lacks}"
    return f"{title}, felt in {felt.felt_in}{where}"


def felt_lines(felt: Felt, display: Display) -> Iterator[str]:
    """Yield the answer to a complaint, a sentence or two each.

    Args:
        felt: The answer.
        display: Units shown.

    Yields:
        What fits, what other configurations do to it, and what to count to settle it.
    """
    if not felt.fits:
        yield "That is not looked at: it is beyond top speed, or no torque case goes so fast."
        return
    for fit in felt.fits:
        yield _fit(fit, felt, display)
    joints = any(fit.order == 2 for fit in felt.fits)
    if not joints:
        yield "Twice a turn (joints) is not looked at: no torque case of the scene goes there."
    if not felt.may_be:
        if joints:
            yield "So neither order of the shafts: look at tires, engine and mounts."
        return
    for names, changes in _alike(_worth_saying(felt)).items():
        if said := changes_words(changes, felt):
            yield f"{', '.join(names)}: {said}."
    if settle := _settle(felt, display):
        yield settle


def _fit(fit: Fit, felt: Felt, display: Display) -> str:
    """Return whether an order is what is felt, and why."""
    asked = felt.complaint
    at = "" if asked.speed is not None else f" at {display.speed.say(fit.speed)}"
    turn, cause = TURNS[fit.order].capitalize(), CAUSES[fit.order]
    head = f"{turn} ({fit.frequency:.0f} Hz{at}, {cause}) {fit.fits}"
    counted = f"{asked.frequency or 0:.0f} Hz were counted"
    if fit.why == "counted otherwise":
        return f"{head}: {counted}."
    met = "" if fit.meeting is None else _met(fit.meeting, display)
    small = f"at most {display.force.say(fit.force.high)} anywhere{_under(fit, asked)}"
    force = f"{_force(fit.force, display)} {_into(fit.places)}{_under(fit, asked)}"
    said = {
        "small": [small],
        "beyond": ["too near a critical speed to give a force"],
        "counted": [counted, met, f"yet {small}" if fit.small else force],
        "peak": [met or "it swells there", force],
        "no peak": [met or "no mode there", force],
    }[fit.why]
    ways = {"drive": "on the overrun", "coast": "under drive"}
    if asked.when in ways and fit.order == 1 and fit.why != "small":
        said = [*said, f"but it would be felt {ways[asked.when]} too"]
    told = "; ".join(part for part in said if part)
    return f"{head}: {told}."


def _under(fit: Fit, asked: Complaint) -> str:
    """Return under which torque the joints were looked at, where the driver did not say so."""
    said = fit.order == 1 or fit.situation == WITHOUT_WORDS[asked.when]
    return "" if said else UNDER[fit.situation]


def _met(meeting: Meeting, display: Display) -> str:
    """Return a mode that is met, and where."""
    speed = display.speed
    known = meeting.high - meeting.low < KNOWN * meeting.speed
    bounds = " to ".join(speed.number(one) for one in (meeting.low, meeting.high))
    band = "" if known else f" ({bounds})"
    what = ("bearing", "bounce") if meeting.kind == "bounce" else ("shaft", "bending")
    return f"meets {what[0]} {meeting.number}'s {what[1]} at {speed.say(meeting.speed)}{band}"


def _force(band: Band, display: Display) -> str:
    """Return the band of a force."""
    unit = display.force
    low, high = unit.number(band.low), unit.number(band.high)
    return unit.say(band.high) if low == high else f"{low} to {high} {unit.name}"


def _into(places: Sequence[str]) -> str:
    """Return where a force goes."""
    return f"into {' or '.join(SHOP.get(place, place) for place in places)}"


def _worth_saying(felt: Felt) -> dict[str, tuple[Change, ...]]:
    """Return what layouts do, without the one in which it is felt where its advice does nothing."""
    own = f"{felt.felt_in}{AS_ADVISED}"
    return {
        name: each
        for name, each in felt.changes.items()
        if name != own or {one.effect for one in each} != {"the same"}
    }


def _alike(
    changes: Mapping[str, Sequence[Change]],
) -> dict[tuple[str, ...], list[tuple[Change, ...]]]:
    """Return the changes of configurations that do alike, by their names."""
    groups: dict[tuple[object, ...], list[str]] = {}
    for name, each in changes.items():
        key = tuple(
            (one.order, one.effect, bool(one.ratio), one.new_path, one.small) for one in each
        )
        groups.setdefault(key, []).append(name)
    return {tuple(names): [tuple(changes[n]) for n in names] for names in groups.values()}


def changes_words(alike: Sequence[Sequence[Change]], felt: Felt) -> str:
    """Return what configurations that do alike do to every order that may be felt.

    Args:
        alike: The changes of each of them.
        felt: The answer that they stand in.

    Returns:
        As in "once a turn the same; twice a turn worse (1.2 to 1.5 times more)"; "" for nothing.
    """
    alone = len(felt.may_be) == 1
    said: list[str] = []
    for same in zip(*alike, strict=True):
        one = same[0]
        what = effect_words(same)
        turn = TURNS[one.order].removesuffix(" a turn" if said else "")
        said.append(what if alone else f"{turn} {what}")
    if said and {one.effect for same in alike for one in same} == {"the same"}:
        return "the same"
    return "; ".join(said)


def worse_words(answers: Sequence[Felt], name: str) -> str:
    """Return which complaints a layout makes worse, as it is to be built.

    Args:
        answers: To all complaints.
        name: Of the layout.

    Returns:
        A sentence, as in "long makes “shudder” worse if twice a turn."; "" where none gets worse.
    """
    said = []
    for felt in answers:
        worse = (one for one in built_of(felt, name) if one.effect == "worse" and not one.small)
        orders = [TURNS[one.order] for one in worse]
        if orders:
            sure = len(orders) == len(felt.may_be)
            only = "" if sure else f" if {' or '.join(orders)}"
            said.append(f"“{felt.complaint.name}” worse{only}")
    advised = any(f"{name}{AS_ADVISED}" in felt.changes for felt in answers)
    what = f"{name}{AS_ADVISED}" if advised else name
    return f"{what} makes {' and '.join(said)}." if said else ""


def built_of(felt: Felt, name: str) -> tuple[Change, ...]:
    """Return what a layout does to a complaint as it is to be built: as advised, if anything is."""
    return felt.changes.get(f"{name}{AS_ADVISED}") or felt.changes.get(name, ())


def effect_words(same: Sequence[Change]) -> str:
    """Return what some configurations do to an order alike, with the widest band.

    Args:
        same: The changes of the same order and effect, one a configuration.

    Returns:
        As in "cured (12 to 131 times less)".
    """
    one = same[0]
    if not one.ratio:
        return "cannot be told, too near a critical speed"
    low = min(band.low for change in same for band in change.ratio)
    high = max(band.high for change in same for band in change.ratio)
    less = ratio_words(low, high)
    if one.small:
        return f"{one.effect}, too small to feel"
    if one.effect == "the same":
        return one.effect
    if one.effect == "cannot be told":
        path = "; a new path, the bracket" if one.new_path else ""
        return f"cannot be told ({less}{path})"
    return f"{one.effect} ({less})"


def ratio_words(low: float, high: float) -> str:
    """Return the band of a ratio in words, as in "12 to 47× less"."""
    more, less = _times(1 / low), _times(high)
    if low >= 1:
        return f"{_times(low)} to {less}× less"
    if high <= 1:
        return f"{_times(1 / high)} to {more}× more"
    if more == "1.0" or less == "1.0":
        return f"up to {less}× less" if more == "1.0" else f"up to {more}× more"
    return f"{more}× more to {less}× less"


def _times(ratio: float) -> str:
    """Return a ratio with two digits."""
    return f"{ratio:.0f}" if ratio >= 10 else f"{ratio:.1f}"


def _settle(felt: Felt, display: Display) -> str:
    """Return what to count, where nobody has."""
    if felt.complaint.frequency is not None:
        return ""
    assert felt.complaint.speed is not None, "without a frequency there is a road speed"
    (turn, hertz), *other = [(TURNS[one.order], one.frequency) for one in felt.may_be]
    also = "".join(f", {more:.0f} {name.removesuffix(' a turn')}" for name, more in other)
    return (
        "Count it with a phone's vibration meter on the seat rail: "
        f"{hertz:.0f} Hz is {turn}{also}, else no shaft."
    )

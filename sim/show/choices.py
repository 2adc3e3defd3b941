"""The short list of designs in words."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np

from sim.display import DEGREES, Display, amount, display_of, on_tape
from sim.explore.choose import Chosen
from sim.explore.choose_bases import Base, pieces
from sim.explore.choose_places import undrilled
from sim.explore.choose_pool import Pool
from sim.explore.choose_reasons import Nothing, reasons_of
from sim.explore.choose_trial import Choice
from sim.explore.place_space import setting_at, space_of
from sim.judge.notes import planned_words
from sim.judge.rule import RuleSet
from sim.measure.sag import sags_of
from sim.scene.parts import Scene
from sim.show.answer_felt import felt_of
from sim.show.outlook import headlines, value_words

Ink = Callable[[str, str], str]
FROM_MEMORY = "rating from memory: the maker's sheet decides"


def choice_lines(
    scene: Scene,
    rules: RuleSet,
    chosen: Chosen,
    nothing: Nothing | None,
    again: str,
    width: int,
    ink: Ink,
) -> Iterator[str]:
    """Yield the short list, or what stands in the way, as lines for a terminal.

    Args:
        scene: The scene.
        rules: The rule set that judged.
        chosen: What was chosen.
        nothing: Where nothing is sound: what stands in the way, and what would open a window.
        again: The command as it was given.
        width: Columns of a line.
        ink: What colors words by their meaning.
    """
    yield ink("do", f"{scene.title}, judged by {rules.name}")
    yield from _wrapped(_headline(chosen, looked_at(chosen)), width)
    felt = felt_of(scene, chosen.choices)
    for number, choice in enumerate(chosen.choices, start=1):
        yield ""
        yield ink("good", f"{number}  {title(choice, scene)}")
        for label, words in _rows(choice, scene):
            yield from _labelled(label, words, width)
        if felt[number - 1]:
            yield from _labelled("complaint", felt[number - 1], width)
    yield ""
    if nothing is not None:
        yield from _wrapped(nothing.sentence, width)
        yield ""
    for words in note_words(chosen, nothing):
        yield from _wrapped(words, width)
    if chosen.choices and not scene.changes:
        yield from _wrapped(f"Write one into the scene: {again} --pick 1 --write NAME", width)
    yield ""


def looked_at(chosen: Chosen) -> int:
    """Return how many designs were looked at."""
    return sum(pool.seen for pool in chosen.pools.values())


def _headline(chosen: Chosen, seen: int) -> str:
    """Return how many were looked at and are sound, in a sentence."""
    count = len(chosen.choices)
    looked = _grouped(seen)
    if not count:
        return f"None of {looked} designs is sound."
    how = "One design" if count == 1 else f"{count} clearly different designs"
    return (
        f"{how} of {looked} looked at, carried out and sound: nothing fails, and every limit that "
        "may fail is kept in at least 95 of 100 cases that the readings allow.  Less work first."
    )


def _grouped(number: int) -> str:
    """Return a number with a space between its thousands."""
    return f"{number:,}".replace(",", " ")


def title(choice: Choice, scene: Scene) -> str:
    """Return what a design is in a few words, as in "two shafts, wedge 1.5 deg nose up"."""
    configuration, said = choice.configuration, [pieces(choice.base.shafts)]
    design = configuration.design
    assert design is not None
    said += [
        f"joint {number} {joint.kind}"
        for number, joint in enumerate(configuration.joints, start=1)
        if joint.kind != "universal"
    ]
    wedged, controlled = choice.kind
    if wedged:
        turn = float(np.degrees(wedge_of(choice)))
        said.append(f"pinion {abs(turn):.1f} deg nose {'up' if turn > 0 else 'down'}")
    if controlled:
        said.append(f"traction bar {_bar(choice, scene)}")
    return ", ".join(said)


def wedge_of(choice: Choice) -> float:
    """Return how far wedges turn the pinion nose up [rad]."""
    values = choice.configuration.readings
    for key, sign in (("pinion.nose_up", 1.0), ("pinion.nose_down", -1.0)):
        if key in values and values[key].value:
            return sign * values[key].value
    return 0.0


def _bar(choice: Choice, scene: Scene) -> str:
    """Return the stiffness of the wrap control."""
    value = choice.configuration.readings["suspension.wrap_control"].value * np.radians(1)
    return f"{display_of(scene.display).torque.say(value)}/deg"


def _rows(choice: Choice, scene: Scene) -> Iterator[tuple[str, str]]:
    """Yield label and words of a design."""
    for number in range(1, choice.base.shafts):
        yield f"bearing {number}", bearing_words(choice, scene, number)
    yield "order", order_words(choice, scene)
    yield "buys", buys_words(choice, scene)
    yield "costs", costs_words(choice)
    watched = [one for one in headlines(choice.judged.findings.findings) if one.lead in
               choice.watches]  # fmt: skip
    if watched:
        first = watched[0].lead
        more = f"; {len(watched) - 1} more" if len(watched) > 1 else ""
        where = "" if first.state is None else f", {first.state.say(scene.display)}"
        yield "watch", f"{first.what}: {value_words(first, scene.display)}{where}{more}"


def bearing_words(choice: Choice, scene: Scene, number: int) -> str:
    """Return where a bearing hangs, and how its brace is set."""
    configuration = choice.configuration
    point = np.asarray(configuration.bearings[number - 1].point, float)
    aft, right, up = (on_tape(abs(x), scene.display) for x in point)
    said = [f"{aft} {'aft' if point[0] >= 0 else 'forward'}"]
    if abs(point[1]) > 5e-5:
        said.append(f"{right} {'right' if point[1] > 0 else 'left'}")
    said.append(f"{up} {'up' if point[2] >= 0 else 'down'}")
    set_at = setting_at(space_of(configuration, number), point)
    if set_at is not None:
        setting, _ = set_at
        if setting.hole is not None:
            said.append(f"hole {setting.hole} from the front")
        if setting.row is not None:
            shims = " + ".join(on_tape(shim, scene.display) for shim in setting.shims)
            said.append(
                f"row {setting.row} from below, {f'{shims} of shims' if shims else 'no shims'}"
            )
    sag = planned_words(sags_of(configuration)[number - 1], scene.display)
    return "; ".join([", ".join(said), *([sag] if sag else [])])


def order_words(choice: Choice, scene: Scene) -> str:
    """Return what is ordered: shafts with their tubes, spline, joints."""
    display, m = display_of(scene.display), choice.judged.measurements
    said = []
    for built, shaft in zip(m.as_built, choice.configuration.shafts, strict=True):
        tube = shaft.tube
        size = f"{_plain(tube.outside, display)} × {_plain(tube.wall, display)} {display.fine.name}"
        said.append(f"shaft {built.shaft} {on_tape(built.length, scene.display)}, tube {size}")
    spline = choice.configuration.spline
    gap, engaged = (on_tape(x, scene.display) for x in (spline.gap, spline.engaged))
    said.append(f"spline gap {gap}, engaged {engaged}")
    if choice.series is not None:
        said.append(f"joints of series {choice.series} ({FROM_MEMORY})")
    return "; ".join(said)


def _plain(value: float, display: Display) -> str:
    """Return a size of a tube with no more digits than it has."""
    text = display.fine.number(value)
    return text.rstrip("0").rstrip(".") if "." in text else text


def buys_words(choice: Choice, scene: Scene) -> str:
    """Return what a design buys."""
    display, said = display_of(scene.display), []
    if np.isfinite(choice.whirl):
        said.append(f"no whirl up to {amount(choice.whirl, 'km/h', scene.display)}")
    angle, joint = choice.worst_angle
    said.append(f"joints bend at most {DEGREES.say(angle)} on the road (joint {joint})")
    if choice.nearest is not None:
        said.append(f"{display.length.say(choice.nearest[0])} clear ({choice.nearest[1]})")
    return "; ".join(said)


def costs_words(choice: Choice) -> str:
    """Return what a design costs in parts and holes."""
    shafts, (wedged, controlled) = choice.base.shafts, choice.kind
    said = [f"{pieces(shafts)}"]
    if shafts > 1:
        bearings = "1 center bearing and brace" if shafts == 2 else f"{shafts - 1} center bearings "
        said.append(bearings + ("and braces" if shafts > 2 else ""))
    said += ["wedges"] if wedged else []
    said += ["a traction bar"] if controlled else []
    holes = holes_of(choice)
    if holes:
        bad = undrilled(choice.configuration, _hung(choice)).any()
        how = "too near to an edge or a hole for the usual guide" if bad else "less what is there"
        said.append(f"{holes} holes in the rails, {how}")
    elif shafts > 1:
        said.append("holes for the brace")
    return ", ".join(said)


def _hung(choice: Choice) -> dict[str, np.ndarray[Any, Any]]:
    """Return where the bearings hang, as one row of a table."""
    points = [np.asarray(b.point, float) for b in choice.configuration.bearings]
    return {
        f"bearing.{number}.{key}": point[k : k + 1]
        for number, point in enumerate(points, start=1)
        for k, key in enumerate(("aft", "right", "up"))
    }


def holes_of(choice: Choice) -> int:
    """Return how many holes the feet of all braces take on both sides; 0 where not known."""
    configuration = choice.configuration
    braces = [configuration.braces.get(n) for n in range(1, choice.base.shafts)]
    if any(brace is None or brace.foot is None for brace in braces):
        return 0
    feet = [brace.foot for brace in braces if brace is not None and brace.foot is not None]
    return sum(2 * foot.columns * foot.rows for foot in feet)


def note_words(chosen: Chosen, nothing: Nothing | None) -> Iterator[str]:
    """Yield what was not sound and why, and what was assumed."""
    sound = {choice.base.shafts for choice in chosen.choices}
    if nothing is not None and len(chosen.bases) == 1:
        return  # that was said
    for number, base in enumerate(chosen.bases):
        pool = chosen.pools.get(number)
        if pool is not None and base.shafts not in sound:
            if base.shafts in {choice.base.shafts for choice in chosen.beaten}:
                words = "sound too, but more work and better in nothing that is compared"
                yield f"{pieces(base.shafts).capitalize()}: {words}."
            else:
                yield why_not(base, pool)
    yield from dict.fromkeys(
        said
        for number, base in enumerate(chosen.bases)
        for said in (*base.said, *(chosen.pools[number].said if number in chosen.pools else ()))
        if base.shafts in sound
    )
    yield from chosen.left


def why_not(base: Base, pool: Pool) -> str:
    """Return why no design of a structure is sound, in a sentence."""
    who = f"{pieces(base.shafts).capitalize()}"
    reasons = reasons_of(pool)
    if not reasons:
        return f"{who}: what looked sound did not hold once it was carried out."
    said = " and ".join(reasons)
    return f"{who}: none of {_grouped(pool.seen)} designs is sound; in the way: {said}."


def _labelled(label: str, words: str, width: int) -> Sequence[str]:
    """Return words behind a label, wrapped."""
    return textwrap.wrap(words, width, initial_indent=f"   {label:<10}", subsequent_indent=" " * 13)


def _wrapped(words: str, width: int) -> Sequence[str]:
    """Return a sentence, wrapped."""
    return textwrap.wrap(words, width)

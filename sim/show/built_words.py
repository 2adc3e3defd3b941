"""What readings after the work come to, in words: where parts landed, what disagrees."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from sim.display import DEGREES, DisplayName, display_of, on_tape
from sim.explore.allowed_rooms import MOST_DRAWN
from sim.explore.built import GAP, AsBuilt, Landed
from sim.explore.built_fit import Compared
from sim.scene.values import OPPOSITES
from sim.show.outlook import Outlook, outlook_of
from sim.show.result import Result

MARK = 25.4e-3 / 32  # [m], the least that a tape in inches shows
LEAST_OFF = 1e-3, math.radians(0.25)  # [m], [rad]: what is less is not said
ANGLES = ("slope", "nose_up", "nose_down", "plan_angle")
MOST_SUSPECTS = 3
WAYS = {"aft": ("aft", "forward"), "up": ("high", "low"), "right": ("to the right", "to the left")}


# Keys of what is neither a length nor an angle.
OTHERS = ("rate", "wind_up", "radial", "axial", "spring_load", "axle_load", "unsprung_share")


def is_angle(path: str) -> bool:
    """Say whether the reading of a path is an angle, else a length."""
    return path.startswith("frame at ") or path.endswith(ANGLES)


def said(path: str, value: float, spread: float, display: DisplayName) -> str:
    """Return a reading with its ±, as in "3.10 ± 0.10 deg", "517.6 ± 1.0 mm", "20-3/8 ± 1/8 in".

    Args:
        path: Its path.
        value: Its value [m or rad].
        spread: Its ± [same]; 0 for none.
        display: Units shown.
    """
    unit = DEGREES if is_angle(path) else display_of(display).length
    if unit is DEGREES or display == "metric":
        return f"{unit.number(value)} ± {unit.say(spread)}" if spread else unit.say(value)
    if not spread:
        return on_tape(value, display)
    return f"{on_tape(value, display, unit=False)} ± {on_tape(max(spread, MARK), display)}"


def far(path: str, value: float, display: DisplayName) -> str:
    """Return how far something is, without its sign, as in "8 mm", "1.5 deg".

    Args:
        path: Path of what it is.
        value: How far [m or rad].
        display: Units shown.
    """
    if is_angle(path):
        return DEGREES.say(abs(value), digits=1)
    return on_tape(abs(value), display)


def result_of(built: AsBuilt) -> Result | None:
    """Return the truck as it is, judged; None while its readings contradict.

    Args:
        built: What was found.
    """
    one = built.judged
    if one is None:
        return None
    return Result(
        configuration=one.configuration, measurements=one.measurements, findings=one.findings
    )


def outlook_on(built: AsBuilt, display: DisplayName) -> Outlook | None:
    """Return what the truck as it is comes to; None while its readings contradict.

    Args:
        built: What was found.
        display: Units of its sentence.
    """
    result = result_of(built)
    return None if result is None else outlook_of(result, display)


def sentence(built: AsBuilt, display: DisplayName) -> str:
    """Return the whole of it in one sentence.

    Args:
        built: What was found.
        display: Units shown.

    Returns:
        As in "Bearing 1 landed 8 mm aft and 3 mm low: still good." [text].
    """
    outlook = outlook_on(built, display)
    if outlook is None:
        return "The readings contradict one another: no verdict before one was read again."
    parts = list(landed_words(built, display))
    landed = "; ".join(parts) or "All that was read is as planned"
    if outlook.grade == "good":
        but = f", but {outlook.even_then}" if outlook.even_then else ""
        if any(drawn_words(built, display)):
            but += ", but a bracket draws its rubber: move it first"
        as_read = " for what was read" if built.fit.not_read else ""
        verdict = f"{'still ' if parts else ''}good{as_read}{but}"
    else:
        verdict = outlook.sentence
    return f"{landed[:1].upper()}{landed[1:]}: {verdict}."


def landed_words(built: AsBuilt, display: DisplayName) -> Iterator[str]:
    """Yield what is not where it was planned, as in "bearing 1 landed 3 mm low".

    Args:
        built: What was found.
        display: Units shown.
    """
    off = {one.path: one for one in built.landed if _is_off(one)}
    for number in range(1, len(built.plan.bearings) + 1):
        ways = [_way(off[path], display) for path in off if path.startswith(f"bearing.{number}.")]
        if ways:
            yield f"bearing {number} landed {_and(ways)}"
    for path, one in off.items():
        if path.startswith("pinion.nose"):
            now, planned = _nose(path, one.value), _nose(path, one.planned)
            yield f"the wedge turns the pinion {now}, not {planned}"
    if GAP in off:
        short = "shorter" if off[GAP].off > 0 else "longer"
        last = len(built.plan.shafts)
        yield f"shaft {last} is {far(GAP, off[GAP].off, display)} {short} than on paper"


def _is_off(one: Landed) -> bool:
    """Say whether something is farther off than the readings can be."""
    return abs(one.off) > max(one.spread, LEAST_OFF[is_angle(one.path)])


def _way(one: Landed, display: DisplayName) -> str:
    """Return how far a bearing is off in one way."""
    key, off = one.path.rpartition(".")[2], one.off
    if key not in WAYS:
        key, off = OPPOSITES[key], -off
    return f"{far(one.path, off, display)} {WAYS[key][off < 0]}"


def _nose(path: str, turn: float) -> str:
    """Return how far a wedge turns the pinion."""
    up = (turn > 0) == path.endswith("nose_up")
    return f"{DEGREES.say(abs(turn), digits=1)} nose {'up' if up else 'down'}"


def _and(words: Sequence[str]) -> str:
    """Return words as a list that is read aloud."""
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def drawn_words(built: AsBuilt, display: DisplayName) -> Iterator[str]:
    """Yield which brackets stand so far off their bearings that the rubber is drawn.

    Args:
        built: What was found.
        display: Units shown.
    """
    for number, off in enumerate(built.drawn(), start=1):
        if abs(off) > MOST_DRAWN:
            way = WAYS["aft"][off < 0]
            most = on_tape(MOST_DRAWN, display)
            yield (
                f"The bracket of bearing {number} stands {on_tape(abs(off), display)} {way} of its "
                f"bearing on the shaft, which draws the rubber: at most {most}, common practice"
            )


def disagreement(built: AsBuilt, display: DisplayName) -> str:
    """Return which reading disagrees with the others, and by how many times its error; "" if none.

    Args:
        built: What was found.
        display: Units shown.
    """
    suspects = built.fit.suspects
    if not suspects:
        return ""
    first, *others = (_suspect(one, display) for one in suspects[:MOST_SUSPECTS])
    alike = "".join(f"; as likely {words}" for words in others)
    said_of_it = f"Read again first: {first}{alike}."
    if not built.fit.contradicts:
        return said_of_it
    still = "" if built.fit.agrees_without else "still dis"
    return f"{said_of_it}  Without {'it' if not others else 'one of them'} the others {still}agree."


def _suspect(one: Compared, display: DisplayName) -> str:
    """Return one reading that disagrees, or what was set too far off to be believed."""
    if one.kind == "set":
        path = one.path
        there = said(path, one.others, one.others_spread, display)
        planned, most = said(path, one.value, 0.0, display), far(path, one.spread, display)
        return (
            f"what tells {path}, which comes out at {there}, not {planned}: {one.times:.1f} times "
            f"the {most} that a shop may be off"
        )
    reads = "reads" if one.kind == "read" else "has"
    others = said(one.path, one.others, one.others_spread, display)
    turned = is_angle(one.path) and abs(
        one.value + one.others
    ) < one.spread + one.others_spread < abs(one.value)
    sign = " (was its sign lost?)" if turned else ""
    value = said(one.path, one.value, one.spread, display)
    return (
        f"{one.label} {reads} {value}, the others say {others}, which is {one.times:.1f} times its "
        f"±{sign}"
    )

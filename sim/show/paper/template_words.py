"""The words of a drilling template: where, how large, what is broken, what would keep the guide."""

from __future__ import annotations

from sim.display import TRADE_INCH, DisplayName, amount, on_tape
from sim.judge.drilling import Guide
from sim.judge.drilling_plan import Behind, DrillingPlan, RailPlan
from sim.judge.holes import Check
from sim.judge.holes_move import REACH, Move
from sim.scene.parts import Foot
from sim.units import INCH

DO_NOT = "DO NOT DRILL"


def station_words(plan: DrillingPlan, display: DisplayName) -> str:
    """Return where the station line is, as a tape finds it."""
    way = "behind" if plan.middle >= 0 else "ahead of"
    said = f"Line S: {on_tape(abs(plan.middle), display)} {way} the datum"
    if plan.hook is None:
        return f"{said}; no cross part near it to hook a tape on."
    far = plan.hook.aft - plan.middle
    side = "ahead of" if far > 0 else "behind"
    face = f"the {plan.hook.face} face of the {plan.hook.name}"
    return f"{said}, {on_tape(abs(far), display)} {side} {face}."


def drill_words(plan: DrillingPlan, display: DisplayName) -> str:
    """Return the size to drill and the bolt, as in "Drill 13.0 mm for M12"."""
    hole = amount(plan.foot.hole * 1e3, "mm", display)
    if display == "inch":
        marks = plan.foot.hole / INCH * 32
        whole = abs(marks - round(marks)) < 1e-6
        hole = on_tape(plan.foot.hole, display) if whole else TRADE_INCH.fine.say(plan.foot.hole)
    return f"Drill {hole}" + (f" for {plan.foot.bolt}" if plan.foot.bolt else "")


def behind_words(one: RailPlan, thing: Behind, display: DisplayName) -> str:
    """Return what is near to which holes, and how near."""
    holes = ", ".join(hole_name(one, number) for number in thing.holes)
    far = "no space" if thing.apart <= 0 else on_tape(thing.apart, display)
    return f"{thing.name}, {far} from {holes}"


def hole_name(one: RailPlan, number: int) -> str:
    """Return the name of a hole of a foot, as in "L1" on the left rail."""
    return f"{one.rail.side[0].upper()}{number}"


def broken_words(plan: DrillingPlan, display: DisplayName) -> list[str]:
    """Return what the holes break, one sentence a rule and rail."""
    said: dict[str, list[str]] = {}
    for one in plan.rails:
        for hole in one.holes:
            for check in hole.broken:
                told = _check_words(check, plan.guide, display)
                said.setdefault(told, []).append(hole_name(one, hole.number))
    return [f"{', '.join(holes)}: {told}." for told, holes in said.items()]


def _check_words(check: Check, guide: Guide, display: DisplayName) -> str:
    """Return what a hole breaks, as in "40 mm from hole edge to inside of the flange; …"."""
    if check.asked == "in one line":
        many = f"{check.value:.0f} holes in one vertical line"
        return f"{many}; the guide asks at most {check.limit:.0f}"
    value = amount(check.value * 1e3, "mm", display, beside=check.limit * 1e3)
    limit = amount(check.limit * 1e3, "mm", display)
    if check.asked == "flange":
        return f"cuts into the {check.to}; never drill a flange"
    if check.asked == "edge":
        between = f"from {guide.edge_from} to {guide.edge_to}, at the {check.to}"
        return f"{value} {between}; the guide asks at least {limit}"
    if check.asked == "pitch":
        between = f"between {guide.pitch_between}, to {check.to}"
        return f"{value} {between}; the guide asks at least {limit}"
    what = "in diameter" if check.asked == "largest" else "larger than its bolt"
    return f"{value} {what}; the guide asks at most {limit}"


def move_words(plan: DrillingPlan, display: DisplayName) -> list[str]:
    """Return where the foot would keep the guide, each as a sentence with the lines to write."""
    found = []
    if plan.move is not None:
        found.append(f"Nearest place that keeps it: {_moved(plan, plan.move, display)}.")
    if plan.onto_old is not None:
        old = " and ".join(plan.onto_old.uses)
        found.append(f"On the old hole {old}: {_moved(plan, plan.onto_old, display)}.")
    if not found:
        found.append(
            f"No place within {on_tape(REACH, display)} keeps it: this foot does not suit this "
            "rail by this guide. Another foot, or the chassis maker's word."
        )
    return found


def _moved(plan: DrillingPlan, move: Move, display: DisplayName) -> str:
    """Return a move of the foot and the lines that carry it out."""
    ways = [
        f"{on_tape(abs(far), display)} {words[far < 0]}"
        for far, words in ((move.aft, ("aft", "forward")), (move.up, ("up", "down")))
        if abs(far) > 1e-6
    ]
    lines = " and ".join(move_lines(plan, move, display))
    return f"the foot {' and '.join(ways)} on both rails, the bearing as it hangs ({lines})"


def move_lines(plan: DrillingPlan, move: Move, display: DisplayName) -> list[str]:
    """Return the lines of the scene that move a foot."""
    rows = (("aft", "forward", plan.foot.aft, move.aft), ("up", "down", plan.foot.up, move.up))
    return [
        f"brace.{plan.number}.foot.{less if was + far < 0 else more} = "
        f'"{_exact(abs(was + far), display)}"'
        for more, less, was, far in rows
        if abs(far) > 1e-6
    ]


def _exact(length: float, display: DisplayName) -> str:
    """Return a length as a scene writes it."""
    if display == "inch":
        return f"{length / INCH:.4f}".rstrip("0").rstrip(".") + " in"
    return f"{length * 1e3:.2f}".rstrip("0").rstrip(".") + " mm"


def plan_lines(plan: DrillingPlan, display: DisplayName) -> list[str]:
    """Return what the template of one bearing comes to, in a few lines."""
    lead = f"Bearing {plan.number}: " if plan.number > 1 else ""
    if plan.keeps:
        verdict = [
            f"{lead}{'every' if lead else 'Every'} hole keeps the guide “{plan.guide.name}”."
        ]
    else:
        verdict = [f"{lead}{DO_NOT}: breaks the guide “{plan.guide.name}”."]
        verdict += [*broken_words(plan, display), *move_words(plan, display)]
    if said := not_checked(plan.guide, plan.foot):
        verdict.append(f"{said}.")
    near = [
        f"Near, {one.rail.side} rail: {behind_words(one, thing, display)}."
        for one in plan.rails
        for thing in one.behind
    ]
    return [*verdict, station_words(plan, display), *near]


def not_checked(guide: Guide, foot: Foot) -> str:
    """Return what of a guide could not be looked at, a sentence without its end; "" for nothing."""
    if guide.over_bolt is None or foot.bolt is not None:
        return ""
    return f"By “{guide.name}” the hole over its bolt was not checked: the foot's bolt is missing"


def gives_no(guide: Guide) -> str:
    """Return what a guide gives no value for, as in "edge and pitch"; "" for nothing."""
    values = {"edge": guide.edge, "pitch": guide.pitch}
    return " and ".join(name for name, value in values.items() if value is None)

"""The drilling template: what to drill and by which guide, then both rails at true scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from sim.display import DisplayName, amount, on_tape
from sim.judge.drilling import MAKERS_BOOK, guide_named, guides, words
from sim.judge.drilling_plan import NEAR, DrillingPlan, RailPlan
from sim.judge.holes import Asked, Check, Drilled
from sim.scene.parts import Scene
from sim.show.files import plain_name
from sim.show.paper.kit import KEY, THIN, Box, Cell, Label, PaperName, Sheet, write_sheet
from sim.show.paper.template_tile import draw_rail
from sim.show.paper.template_words import (
    DO_NOT,
    behind_words,
    broken_words,
    drill_words,
    gives_no,
    hole_name,
    move_words,
    not_checked,
    station_words,
)

FILE = "drilling_template.pdf"
CAUTION = (
    "Print at 100 % and measure the check bars. Look behind the rail before drilling. The chassis "
    "maker's book, local codes and licensed practice come first."
)
_LOOK = "Behind the rail, both sides: brake and fuel lines, wiring, tank out of the drill's way"


def write_template(
    path: Path,
    scene: Scene,
    configuration: str,
    plans: Sequence[DrillingPlan],
    *,
    paper: PaperName = "a4",
    write: Sequence[str] = (),
) -> Path:
    """Write the drilling template of a configuration as a PDF file.

    Args:
        path: Where the file belongs.
        scene: Whose names and units are printed.
        configuration: Name of the design.
        plans: One a bearing, from ``drilling_plans``.
        paper: Size of the page.
        write: Lines of the scene that were carried out to get to the design.

    Returns:
        The path.

    Raises:
        EngineError: If something leaves the page or stands over something else.
    """
    keeps = all(plan.keeps for plan in plans)
    label = Label(
        sheet="Drilling template" if keeps else f"Drilling template: {DO_NOT}",
        title=scene.title,
        configuration=configuration,
        digest=scene.digest,
        caution=CAUTION,
    )

    def fill(sheet: Sheet) -> None:
        for k, plan in enumerate(plans):
            if k:
                sheet.next_page()
            _first_page(sheet, scene, plan, write)
            for one in plan.rails:
                draw_rail(sheet, plan, one, scene.display)

    plain_name(configuration)
    return write_sheet(path, label, fill, paper=paper, true_scale=True)


def _first_page(sheet: Sheet, scene: Scene, plan: DrillingPlan, write: Sequence[str]) -> None:
    """Set what is drilled, by which guide, and what to look at before."""
    if plan.number > 1:
        sheet.paragraph(f"Bearing {plan.number}", bold=True)
    _verdict(sheet, scene.display, plan)
    if write:
        sheet.paragraph(f"Holds with these lines written into the scene: {'; '.join(write)}.")
        sheet.space(1.5)
    _guide(sheet, plan)
    _table(sheet, scene, plan)
    _behind(sheet, scene.display, plan)
    sheet.heading("Before drilling")
    sheet.ticks(list(_before(scene.display, plan)))


def _verdict(sheet: Sheet, display: DisplayName, plan: DrillingPlan) -> None:
    """Say in large letters whether the holes keep the guide, and what would."""
    if plan.keeps:
        sheet.paragraph(f"Every hole keeps the guide “{plan.guide.name}”", KEY, True)
        things = {thing.name: None for one in plan.rails for thing in one.behind}
        if things:
            said = f"But look behind the rail first: {', '.join(things)}, near the holes"
            sheet.paragraph(said, KEY, True)
        sheet.space(1)
        return
    bar = sheet.keep(Box(sheet.left, sheet.y, sheet.right, sheet.y + 11), DO_NOT)
    sheet.rect(bar.grown(-THIN), 2 * THIN, fill=True, behind=True)
    said = f"{DO_NOT}: breaks the guide “{plan.guide.name}”"
    sheet.text(sheet.left + 3, sheet.y + 7.5, said, 14, True, white=True)
    sheet.y += 12.5
    for line in broken_words(plan, display):
        sheet.paragraph(line)
    sheet.space(1)
    for line in move_words(plan, display):
        sheet.paragraph(line, bold=True)
    sheet.space(1.5)


def _guide(sheet: Sheet, plan: DrillingPlan) -> None:
    """Name the guide, what it is worth, and what the others say."""
    guide = plan.guide
    sheet.paragraph(MAKERS_BOOK, bold=True)
    sheet.paragraph(f"Judged by “{guide.name}”: {guide.source} ({guide.standing}).")
    if gives_no(guide):
        sheet.paragraph(f"It gives no value for {gives_no(guide)}: ask the chassis maker.")
    if guide.unsure:
        sheet.paragraph(f"Not read in full: {guide.unsure}.")
    kept = [_other(name) for name, keeps in plan.others if keeps]
    breaks = [_other(name) for name, keeps in plan.others if not keeps]
    said = [f"By other guides it keeps: {', '.join(kept)}."] if kept else []
    said += [f"It breaks: {', '.join(breaks)}."] if breaks else []
    each = (not_checked(one, plan.foot) for one in guides())
    said += [f"{words}." for words in each if words]
    sheet.paragraph(" ".join(said))
    sheet.space(1.5)


def _other(name: str) -> str:
    """Return a guide and what it gives no value for."""
    without = gives_no(guide_named(name))
    return f"{name} (no value for {without})" if without else name


def _table(sheet: Sheet, scene: Scene, plan: DrillingPlan) -> None:
    """List every hole: where it is, and how far from flange and next hole."""
    display, hook = scene.display, plan.hook
    heads = ["Hole", "From the datum"]
    ahead = hook is not None and all(h.aft < hook.aft for one in plan.rails for h in one.holes)
    if hook is not None:
        heads.append(f"{'Ahead of' if ahead else 'Behind'} the {hook.face} face, {hook.name}")
    heads.append("Above the rail's bottom edge")
    asked = [check.asked for check in _full(plan)]
    shown = [rule for rule in asked if rule in ("edge", "flange", "pitch", "in one line")]
    heads += [_head(rule, plan, display) for rule in shown]
    sheet.heading(drill_words(plan, display) if plan.keeps else "The holes as drawn")
    sheet.paragraph(f"Datum: {scene.datum}.")
    rows = []
    for names, hole in _alike(plan.rails):
        row: list[str | Cell] = [Cell(names, bold=True), on_tape(hole.aft, display)]
        if hook is not None:
            row.append(on_tape((hook.aft - hole.aft) * (1 if ahead else -1), display))
        row.append(on_tape(hole.up, display))
        row += [_cell(hole, rule, display) for rule in shown]
        rows.append(row)
    sheet.table([1.2, 1.5, *[2.0] * (len(heads) - 2)], rows, head=heads)
    sheet.space(2)


def _full(plan: DrillingPlan) -> tuple[Check, ...]:
    """Return the checks of a hole that has some."""
    holes = (hole for one in plan.rails for hole in one.holes if hole.checks)
    return next((hole.checks for hole in holes), ())


def _head(rule: Asked, plan: DrillingPlan, display: DisplayName) -> str:
    """Return the head of a column with what the guide asks."""
    check = next(check for check in _full(plan) if check.asked == rule)
    if rule == "in one line":
        return f"In one vertical line (at most {check.limit:.0f})"
    if rule == "flange":
        return "Clear of the flange"
    if rule == "edge":
        limit = amount(check.limit * 1e3, "mm", display)
        return f"{plan.guide.edge_from} to {plan.guide.edge_to} (at least {limit})".capitalize()
    limit = amount((plan.guide.pitch or 0.0) * 1e3, "mm", display)
    return f"Between {plan.guide.pitch_between} (at least {limit})"


def _cell(hole: Drilled, rule: Asked, display: DisplayName) -> Cell:
    """Return what there is of what is asked, in bold where it is broken."""
    check = next((check for check in hole.checks if check.asked == rule), None)
    if check is None:
        return Cell("old hole")
    if rule == "in one line":
        said = f"{check.value:.0f}"
    else:
        said = amount(check.value * 1e3, "mm", display, beside=check.limit * 1e3)
    return Cell(said if check.kept else f"{said}: no", bold=not check.kept)


def _alike(rails: Sequence[RailPlan]) -> Iterator[tuple[str, Drilled]]:
    """Yield every hole with its name; one of both rails together where they are alike."""
    left, right = rails
    if left.holes == right.holes:
        for hole in left.holes:
            yield f"L{hole.number}, R{hole.number}", hole
        return
    for one in rails:
        for hole in one.holes:
            yield hole_name(one, hole.number), hole


def _behind(sheet: Sheet, display: DisplayName, plan: DrillingPlan) -> None:
    """Name what the scene has near the holes."""
    sheet.heading(f"Within {on_tape(NEAR, display)} of a hole")
    said = [
        f"{one.rail.side.capitalize()} rail: {behind_words(one, thing, display)}."
        for one in plan.rails
        for thing in one.behind
    ]
    for line in said or ["Nothing that the scene knows."]:
        sheet.paragraph(line, bold=bool(said))
    sheet.paragraph("What was never written into the scene is not seen here: look yourself.")
    sheet.space(2)


def _before(display: DisplayName, plan: DrillingPlan) -> Iterator[str]:
    """Yield what to tick before drilling."""
    guide = plan.guide
    yield "All check bars measure true, across and up the page; tiles joined cross on cross"
    yield f"{station_words(plan, display)} Marked on both rails, measured twice"
    yield "Paper's bottom-edge line on the rail's bottom edge, arrow to the front, on each side"
    yield _LOOK
    if guide.keep_off:
        yield f"Holes keep off: {guide.keep_off}"
    if guide.practice:
        yield f"The guide: {guide.practice}"
    yield "Drilled, never burned or elongated; deburred and painted"
    said = {word.name: f"{word.says} ({word.source})" for word in words()}
    yield _capital(said["near a crossmember"]) + _from_hook(display, plan)
    if any(one.rail.kind == "box" for one in plan.rails):
        yield _capital(said["sleeve"])
    if guide.fasteners:
        yield f"Fasteners by the guide: {guide.fasteners}"
    yield _capital(said["torque on the nut"])
    yield _capital(said["backing plate"])
    yield "Brace clamped and tried on both rails, bearing in place, before the first hole"


def _from_hook(display: DisplayName, plan: DrillingPlan) -> str:
    """Return how far the nearest hole is from the cross part that the tape hooks on."""
    if plan.hook is None:
        return ""
    far = min(abs(hole.aft - plan.hook.aft) for one in plan.rails for hole in one.holes)
    return f"; here {on_tape(far, display)} to the {plan.hook.name}"


def _capital(text: str) -> str:
    """Return a sentence with its first letter large."""
    return f"{text[:1].upper()}{text[1:]}"

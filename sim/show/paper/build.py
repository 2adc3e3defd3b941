"""The build sheet: what to order, where to hang it, what to read, in which order to tighten."""

from __future__ import annotations

from pathlib import Path

from sim.display import DisplayName
from sim.judge.drilling import MAKERS_BOOK, guides
from sim.judge.drilling_plan import drilling_plans, missing_for_drilling
from sim.scene.parts import Configuration
from sim.show.building import Building
from sim.show.paper.build_bracket import draw_brackets
from sim.show.paper.build_order import draw_order
from sim.show.paper.build_readings import draw_readings
from sim.show.paper.build_work import draw_care, draw_fasteners, draw_signs
from sim.show.paper.kit import Box, Label, PaperName, Sheet, pages_of, write_sheet
from sim.show.paper.template_words import DO_NOT, move_words

FILE = "build_sheet.pdf"


def write_build_sheet(build: Building, folder: Path, paper: PaperName) -> Path:
    """Write the build sheet of one layout.

    Args:
        build: The layout.
        folder: Where it belongs.
        paper: Size of the pages.

    Returns:
        The file, of one or two pages.

    Raises:
        EngineError: If it does not fit.
    """
    scene, configuration = build.scene, build.result.configuration
    label = Label("Build sheet", scene.title, configuration.name, scene.digest)

    display = scene.display

    def first(sheet: Sheet, sketched: bool = True) -> None:
        _say_first(sheet, build)
        _say_of_holes(sheet, configuration, display)
        draw_order(sheet, build.result.measurements, display, sketched=sketched)
        if configuration.bearings:
            draw_brackets(sheet, configuration, build.allowed, scene.datum, display)

    sketched = pages_of(label, first, paper) == 1

    def fill(sheet: Sheet) -> None:
        first(sheet, sketched)
        if configuration.bearings and sheet.page == 1:
            sheet.next_page()
        draw_readings(sheet, build.allowed, build.result.findings.rule_set, display)
        draw_fasteners(sheet, configuration, display)
        draw_care(sheet, configuration)
        draw_signs(sheet)

    return write_sheet(folder / FILE, label, fill, paper=paper)


def _say_first(sheet: Sheet, build: Building) -> None:
    """Set what must be known before anything else, framed: what it carries, or that it fails."""
    if not build.sound:
        _framed(sheet, "NOT FOR BUILDING: it does not pass", build.outlook.sentence)
    elif build.carries:
        what = f"Only if you {build.does}" if build.does else "Not as the scene file says"
        lines = ", ".join(build.carries)
        _framed(sheet, what, f"This sheet has it in; the scene file does not yet. Write {lines}")


def _say_of_holes(sheet: Sheet, configuration: Configuration, display: DisplayName) -> None:
    """Say that holes of a foot break the drilling guide, where they do."""
    if not configuration.bearings or missing_for_drilling(configuration):
        return
    for plan in drilling_plans(configuration, guides()[0]):
        if not plan.keeps:
            more = " ".join((*move_words(plan, display), MAKERS_BOOK, "See halfturn template."))
            said = f"{DO_NOT}: the foot's holes break the guide “{plan.guide.name}”"
            _framed(sheet, said, more)


def _framed(sheet: Sheet, said: str, more: str) -> None:
    """Set a few words in large and some in small in a frame."""
    top, inner = sheet.y, sheet.left + 3
    sheet.space(1.5)
    for text, size, bold in ((said, 13, True), (more, 10, False)):
        sheet.paragraph(text, size, bold, left=inner, wide=sheet.wide - 6)
    sheet.space(1.5)
    sheet.rect(Box(sheet.left, top, sheet.right, sheet.y), 0.7)
    sheet.space(3)

"""A file of readings, a line "path = value" for each: what is missing or wrong in it, all at once.

The answers of an interview are kept in such a file until the scene is written.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from sim.errors import Problem, SceneError
from sim.scene.answers import display_of_answers, example_in, taken
from sim.scene.compose import composed
from sim.scene.hints import suggest
from sim.scene.keys import QuantityKey, SizesKey
from sim.scene.parts import Scene
from sim.scene.questions import (
    ON_ENTER,
    Answers,
    Question,
    decided,
    is_answered,
    is_own,
    key_of,
    questions,
)
from sim.scene.reader import read_scene
from sim.scene.table import table_at
from sim.scene.tables.setup import Setup
from sim.scene.text import Path, decode, path_text
from sim.scene.words import part_name, quote

_STEP = re.compile(r'\s*(?:"([^"]*)"|([^."=]*[^."=\s]))\s*(?:\.|$)')
_DOUBT = re.compile(r"[^:]*:(\d+): doubtful: (.*)", re.DOTALL)
_HEAD = "# Readings of a new vehicle.  halfturn new goes on with what is not here.\n"


@dataclass(frozen=True, slots=True)
class Readings:
    """What a file of readings holds.

    Attributes:
        file: Name of the file.
        answers: As a scene writes them, by path.
        lines: The line of each in the file.
        problems: What is wrong with single lines.
    """

    file: str
    answers: Answers
    lines: Mapping[Path, int]
    problems: tuple[Problem, ...]


def read_readings(raw: bytes, file: str) -> Readings:
    """Return what the bytes of a file of readings hold.

    Raises:
        SceneError: If it is no text.
    """
    written: dict[Path, str] = {}
    lines: dict[Path, int] = {}
    problems: list[Problem] = []
    for number, row in enumerate(decode(raw, file).split("\n"), 1):
        left, sign, right = row.strip().partition("=")
        if not left or left.startswith("#"):
            continue
        path, value = _path(left), _value(right)
        if not sign or not path:
            said = f"{quote(row.strip())} is no reading; write a line as in output.aft = 1745 mm"
            problems.append(Problem(number, said))
        elif path in lines:
            said = f"{part_name(path)} is written twice, first on line {lines[path]}"
            problems.append(Problem(number, said))
        else:
            written[path], lines[path] = value, number
    answers = {path: text for path, text in written.items() if not _clash(path, written)}
    problems += [
        Problem(lines[path], f"{part_name(path)} is a value, but has keys of its own below")
        for path in written.keys() - answers.keys()
    ]
    return _understood(Readings(file, answers, lines, tuple(problems)))


def _path(left: str) -> Path:
    """Return the path on the left of a line, names with a dot in quotes; () where it is none."""
    steps, at, left = list[str](), 0, left.strip()
    while at < len(left):
        found = _STEP.match(left, at)
        if found is None:
            return ()
        steps.append(found[1] if found[1] is not None else found[2].strip())
        at = found.end()
    return () if left.endswith(".") else tuple(steps)


def _value(right: str) -> str:
    """Return the value on the right of a line, without its quotes."""
    value = right.strip()
    return value[1:-1] if len(value) > 1 and value[0] == value[-1] == '"' else value


def _clash(path: Path, written: Mapping[Path, str]) -> bool:
    return any(other[: len(path)] == path for other in written if len(other) > len(path))


def _understood(read: Readings) -> Readings:
    """Return readings as a scene writes them, with what is wrong with each."""
    answers, problems = dict[Path, str](), list(read.problems)
    kind = read.answers.get(("suspension", "kind"), "")
    for path, text in read.answers.items():
        key, number = key_of(path, kind), read.lines[path]
        if key is None:
            problems.append(Problem(number, f"{part_name(path)} is not a known key{_hint(path)}"))
            continue
        if isinstance(key, QuantityKey | SizesKey):
            text = text.partition("#")[0].strip().strip('"')
        meant = taken(key, path, text, read.answers)
        answers[path] = meant.text
        if meant.problem:
            problems.append(Problem(number, f"{part_name(path)}{meant.problem}"))
    return Readings(read.file, answers, read.lines, tuple(problems))


def _hint(path: Path) -> str:
    """Return what may have been meant by a path that is none, or ""."""
    table = table_at(Setup, path[:-1], {}) if len(path) > 1 else Setup
    return f"; {suggest(path[-1], table.declared())[1]}" if table else ""


BLANK: dict[Path, str] = {path: ON_ENTER[path] for path in (("datum",), ("display",), ("rules",))}
"""What holds of the top of a scene where its box on the sheet stays blank."""


def unanswered(answers: Answers) -> list[Question]:
    """Return the questions that are still to be answered, in order."""
    known = decided(answers)
    return [one for one in questions(known) if not is_answered(one.path, known)]


def build(read: Readings) -> tuple[Scene, str]:
    """Return the scene of a file of readings, and its text.

    Raises:
        SceneError: With every problem: of single lines, what is missing, what does not fit.
    """
    answers, problems = read.answers, list(read.problems)
    wrong = {problem.line for problem in problems}
    good = {path: text for path, text in answers.items() if read.lines[path] not in wrong}
    # what is wrong is not missing, but decides on no question
    asked = {path: text for path, text in answers.items() if path in good or not is_own(path)}
    problems += [Problem(0, _missing(one, answers)) for one in unanswered(asked) if _lacks(one)]
    scene, text, refused = tried({**BLANK, **good})
    problems += [
        Problem(read.lines.get(path, 0), said) for path, said in refused if path or not problems
    ]
    if scene is None or problems:
        raise SceneError(read.file, problems)
    return scene, text


def tried(answers: Answers) -> tuple[Scene | None, str, list[tuple[Path, str]]]:
    """Return the scene of answers, its text, and what it is refused for, with the answers' paths.

    There is no scene where it is refused; a path is () for what no answer is to blame for.
    """
    text, told = composed(answers)
    try:
        return read_scene(text.encode()), text, []
    except SceneError as error:
        refused = [(_about(one.line, one.text, told), one.text) for one in error.problems]
        return None, text, refused


def doubts_so_far(answers: Answers) -> list[tuple[Path, str]]:
    """Return what is doubtful in the tables that are whole, as soon as they make a scene."""
    lacking = {one.path[0] for one in unanswered(answers) if one.needed}
    if lacking & {"suspension", "travel", "height"}:
        lacking |= {"suspension", "travel", "height"}
    whole = {path: text for path, text in answers.items() if path[0] not in lacking}
    scene = tried(whole)[0]
    return doubts_of(scene, whole) if scene else []


def _lacks(question: Question) -> bool:
    """Say whether a scene lacks an answer, which does not only decide what is asked."""
    own = is_own(question.path) or question.path == ("suspension", "kind")
    return question.needed and not question.on_enter and not own


def _missing(question: Question, answers: Answers) -> str:
    """Say that a reading is missing, what it means and how it is written."""
    key, example = question.key, ""
    if isinstance(key, QuantityKey):
        shown = example_in(key.limits, display_of_answers(answers))
        example = f", as in {question.name} = {shown}"
    other = f" or {question.other[-1]}" if question.other != question.path else ""
    return f"{part_name(question.path)}{other} is missing; {question.asks}{example}"


def _about(line: int, said: str, told: Mapping[int, tuple[Path, ...]]) -> Path:
    """Return the path of the answer that was said to be wrong, by the line of the scene; or ()."""
    paths = told.get(line, ())
    named = [path for path in paths if part_name(path) in said]
    return (named or [*paths, ()])[0]


def doubts_of(scene: Scene, answers: Answers) -> list[tuple[Path, str]]:
    """Return what is doubtful in the scene of answers, with the path of the answer to blame."""
    told = composed(answers)[1]
    found = filter(None, map(_DOUBT.fullmatch, scene.doubts))
    return [(_about(int(doubt[1]), doubt[2], told), doubt[2]) for doubt in found]


def kept(answers: Answers) -> str:
    """Return the text of a file that keeps answers."""
    return _HEAD + "".join(f"{path_text(path)} = {text}\n" for path, text in answers.items())

"""Answers to the questions of a new vehicle: each understood, refused or doubted at once."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from sim.display import DisplayName, on_tape
from sim.scene.allowed import In, SlipError
from sim.scene.header import WordsKey, check_text
from sim.scene.keys import ChoiceKey, Faults, Key, QuantityKey, SizesKey
from sim.scene.misread import unlike
from sim.scene.quantity import NUMBER, Quantity, QuantityError, parse
from sim.scene.questions import LEFT_OUT, Answers, Question
from sim.scene.text import Path
from sim.scene.words import one_of, quote
from sim.units import LENGTH, SHARE

LEVEL = "to level"
_BARE = re.compile(rf"({NUMBER})(?: ?± ?({NUMBER}) ?(%?))?")


@dataclass(frozen=True, slots=True)
class Understood:
    """An answer as it was understood."""

    path: Path  # that of the question, or of the opposite word
    text: str  # as a scene writes it
    problem: str = ""  # why it cannot be, in words that follow a name; "" if it can
    doubt: str = ""  # why it is likely not meant, the same way; "" if it is plausible


def understand(question: Question, written: str, answers: Answers) -> Understood:
    """Return an answer as it is meant: with its unit, under the word of a pair that it names."""
    text, path = " ".join(written.split()), question.path
    for one, word in ((question.path, question.path[-1]), (question.other, question.other[-1])):
        if question.other != question.path and re.search(rf"(^{word} )|( {word}$)", text):
            text, path = re.sub(rf"^{word} | {word}$", "", text), one
    return taken(question.key, path, text, answers)


def taken(key: Key[Any], path: Path, text: str, answers: Answers) -> Understood:
    """Return the answer of a key as it is meant, with what is wrong or doubtful about it."""
    chosen = isinstance(key, ChoiceKey) and key.needed  # what is asked next hangs on it
    if text == LEFT_OUT and not chosen:
        return Understood(path, text)
    if isinstance(key, QuantityKey):
        return _quantity(key, path, text, answers)
    if isinstance(key, ChoiceKey):
        fits = [one for one in key.choices if one.startswith(text.lower())] if text else []
        text = text.lower() if text.lower() in key.choices or len(fits) != 1 else fits[0]
        wrong = "" if text in key.choices else f" is {quote(text)}; {one_of(text, key.choices)}"
        return Understood(path, text, wrong)
    if isinstance(key, SizesKey) and re.fullmatch(r"[\d ./,-]+", text):
        text = f"{text} {unit_of(key.limits, display_of_answers(answers))}"
    faults, said = Faults(), list[str]()
    if isinstance(key, WordsKey):
        check_text(path, text, ".".join(path), key.most, lambda _, words: said.append(words))
        said = [words.removeprefix(".".join(path)) for words in said]
    else:
        key.read(text, path, faults)
        said = [words for _, words, _ in faults.said]
    return Understood(path, text, " ".join(said))


def _quantity(key: QuantityKey[Any], path: Path, text: str, answers: Answers) -> Understood:
    display = display_of_answers(answers)
    full = with_unit(key.limits, text, display)
    level = answers.get(("slopes",)) == "level" and path[0] != "frame"
    if level and LEVEL in key.limits.tails and not full.endswith(LEVEL):
        full = f"{full} {LEVEL}"
    try:
        quantity = key.limits.read(full)
    except SlipError as slip:
        faults = Faults()
        key.read(full, path, faults)
        return Understood(path, full, faults.said[0][1] if faults.said else str(slip))
    doubt = unlike(quantity, key.limits) or _out_of_order(path, quantity, answers)
    return Understood(path, full, "", doubt)


def display_of_answers(answers: Answers) -> DisplayName:
    """Return the display that was chosen; metric where none was."""
    return "inch" if answers.get(("display",)) == "inch" else "metric"


def with_unit(limits: In, text: str, display: DisplayName) -> str:
    """Return a quantity with the unit of the display where none is written.

    Example:
        >>> with_unit(In(LENGTH, "0 to 20 m", ""), "43-1/2 +/- 1/8", "inch")
        '43-1/2 ± 1/8 in'
    """
    tail = next((t for t in limits.tails if text.endswith(t)), "")
    body = text.removesuffix(tail).strip().replace("+/-", "±").replace("+-", "±")
    found = _BARE.fullmatch(body)
    if found is None:
        return text
    unit = unit_of(limits, display)
    number, spread, percent = found.groups()
    whole = f"{number} {unit}"
    if spread and percent and limits.kind is not SHARE:
        whole = f"{number} {unit} ± {spread} %"
    elif spread:
        whole = f"{number} ± {spread} {unit}"
    return f"{whole} {tail}" if tail else whole


def _out_of_order(path: Path, quantity: Quantity, answers: Answers) -> str:
    """Say that a part is not behind those ahead of it, nor ahead of those behind it; or ""."""
    line = [("output",), ("bearing", "1"), ("bearing", "2"), ("pinion",), ("axle",)]
    if path[:-1] not in line or path[-1] != "aft":
        return ""
    here = line.index(path[:-1])
    for place, part in enumerate(line):
        try:
            other = parse(LENGTH, answers.get((*part, "aft"), ""))
        except QuantityError:  # not answered yet, or not known
            continue
        if place != here and (other.value < quantity.value) != (place < here):
            way = "behind" if place < here else "ahead of"
            said = f" is {quantity.text}; it belongs {way} {' '.join(part)}, "
            return f"{said}whose aft is {other.text}"
    return ""


def example_in(limits: In, display: DisplayName) -> str:
    """Return an example in the units of a reader; lengths as a tape shows them.

    Example:
        >>> example_in(In(LENGTH, "0 to 20 m", "1745 ± 3 mm"), "inch")
        '68-11/16 ± 1/8 in'
        >>> example_in(In(LENGTH, "0 to 20 m", "2.1 ± 0.1 mm"), "inch")
        '0.0827 ± 0.00394 in'
    """
    plain = limits.in_display(limits.example, display)
    if display == "metric" or limits.kind is not LENGTH:
        return plain
    read = limits.read(limits.example)
    parts = [on_tape(part, display, unit=False) for part in (read.value, read.spread) if part]
    return plain if "0" in parts else f"{' ± '.join(parts)} in"  # too fine for a tape


def unit_of(limits: In, display: DisplayName) -> str:
    """Return the unit of a reading where none is written."""
    return limits.kind.metric if display == "metric" else limits.kind.inch


def stands_in(question: Question, display: DisplayName) -> str:
    """Return what holds where a question is not answered, in the units of a reader."""
    if question.on_enter != LEFT_OUT:
        return question.on_enter
    key = question.key
    default = key.stands_in()
    if isinstance(key, QuantityKey) and default is not None:
        return key.limits.in_display(default.text, display)
    return key.left_out or "not known"

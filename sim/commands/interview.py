"""The questions of a new vehicle in the terminal, one reading at a time.

Every answer is kept as it is given; what is wrong or doubtful is said before the next question.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import WordCompleter
from prompt_toolkit.formatted_text import FormattedText
from prompt_toolkit.shortcuts import CompleteStyle

from sim.display import DisplayName
from sim.scene.answers import display_of_answers, example_in, stands_in, understand, unit_of
from sim.scene.keys import ChoiceKey, QuantityKey, SizesKey
from sim.scene.questions import LEFT_OUT, Question, is_answered, questions
from sim.scene.readings import doubts_of, doubts_so_far, tried, unanswered
from sim.scene.stations import Station
from sim.scene.text import Path
from sim.scene.words import part_name

Answers = dict[Path, str]
BAR = " ?  explains     back  to the question before     later  leaves, all is kept "
HELP = (
    "? explains a question, back goes to the one before, later leaves: all answers are kept.  "
    "A unit may be left out; ± or +/- says how far off a reading may be; - is for not known."
)


QUOTE = '"'


class LaterError(Exception):
    """The rest is left for later."""


class _BackError(Exception):
    """The question before is to be answered again."""


class Interview:
    """Asks until the scene is whole.

    Args:
        answers: What is answered already.
        keep: Keeps the answers, after each.
        wide: Columns that a line may take.
        ink: Colors words by their meaning.
    """

    def __init__(
        self,
        answers: Answers,
        keep: Callable[[Answers], object],
        wide: int,
        ink: Callable[[str, str], str],
    ) -> None:
        self.answers, self._keep, self._wide, self._ink = answers, keep, wide, ink
        self._session: PromptSession[str] = PromptSession(
            complete_style=CompleteStyle.READLINE_LIKE, reserve_space_for_menu=0
        )
        self._station: Station | None = None
        self._given: list[Path] = [one.path for one in questions(answers) if self._has(one)]
        self._was: Answers = {}  # answers that were taken back, to be shown again
        self._back_to: Path = ()  # of the answer that was taken back last
        self._told: set[str] = set()  # doubts

    def run(self) -> str:
        """Return the text of the scene.

        Raises:
            LaterError: If the rest is left for later.
        """
        self._say(HELP, "")
        while True:
            try:
                if left := self._due() or unanswered(self.answers):
                    self._ask(left[0], len(left))
                elif text := self._whole():
                    return text
            except _BackError:
                self._back()
            self._keep(self.answers)

    def _whole(self) -> str:
        """Return the text of the scene; "" where an answer was taken back instead."""
        scene, text, refused = tried(self.answers)
        if scene is None:
            self._mend(refused)
            return ""
        return text if self._settle(doubts_of(scene, self.answers)) else ""

    def _due(self) -> list[Question]:
        """Return the question whose answer was taken back; what is read may have decided it."""
        path, self._back_to = self._back_to, ()
        return [one for one in questions(self.answers) if path in (one.path, one.other)]

    def _has(self, question: Question) -> bool:
        return is_answered(question.path, self.answers)

    def _ask(self, question: Question, left: int) -> None:
        """Ask one question until its answer can be."""
        self._head(question.station, left)
        was = self._before(question)
        self._say(_asked(question, self._display, was), "  ")
        while True:
            written = self._prompt(question) or was or question.on_enter
            if written == "?":
                self._say(_explained(question, self._display), "  ")
                continue
            if not written:
                self._say("It is needed: without it no scene can be computed.  Or: later", "  ")
                continue
            meant = understand(question, written, self.answers)
            if meant.problem:
                self._say(f"{part_name(meant.path)}{meant.problem}", "  ", "fails")
            elif not meant.doubt or self._insists(f"{part_name(meant.path)}{meant.doubt}"):
                self._take(question, meant.path, meant.text)
                return

    def _before(self, question: Question) -> str:
        """Return what was answered before it was taken back, as it can be written again; or ""."""
        if question.path in self._was:
            return self._was[question.path]
        was = self._was.get(question.other, "")
        return f"{was} {question.other[-1]}" if was else ""

    def _take(self, question: Question, path: Path, text: str) -> None:
        """Take an answer in, and take out what is not asked any more because of it."""
        before = {one.path for one in questions(self.answers)}
        for one in (question.path, question.other):
            self._was.pop(one, None)
        self.answers[path] = text
        self._given.append(question.path)
        after = {one.path for one in questions(self.answers)}
        for gone in (before - after) & self.answers.keys():
            del self.answers[gone]
        if not [one for one in unanswered(self.answers) if one.station == question.station]:
            self._settle(doubts_so_far(self.answers))

    def _insists(self, said: str) -> bool:
        """Say what is doubtful; return whether the answer stays as it was written."""
        self._say(said, "  ", "doubt")
        return not self._line("  Enter keeps it, anything else asks again: ")

    def _settle(self, doubts: list[tuple[Path, str]]) -> bool:
        """Say doubts; return whether all stay as they are, else take one answer back."""
        for path, said in doubts:
            if said in self._told:
                continue
            self._told.add(said)
            self._say(f"doubtful: {said}", "  ", "doubt")
            if path and self._line("  Enter keeps it, anything else asks again: "):
                self._take_back(path)
                return False
        return True

    def _mend(self, refused: list[tuple[Path, str]]) -> None:
        """Say what the reader refuses, and take back the answer that is to be mended."""
        for _, said in refused:
            self._say(said, "  ", "fails")
        meant = next((".".join(path) for path, _ in refused if path), "")
        while True:
            said = self._line(f"  Answer again [{meant}]: ") or meant
            found = [path for path in self.answers if ".".join(path) == said]
            if found:
                return self._take_back(found[0])
            self._say(f"{said} was not asked; write a name as in output.slope", "  ")

    def _back(self) -> None:
        """Take the last answer back."""
        while self._given:
            path = self._given.pop()
            if path in {one.path for one in questions(self.answers)}:
                self._take_back(path)
                return
        self._say("This is the first question.", "  ")

    def _take_back(self, path: Path) -> None:
        """Take an answer back, to be shown when it is asked again."""
        for question in questions(self.answers):
            if path in (question.path, question.other):
                for one in {question.path, question.other} & self.answers.keys():
                    self._was[one] = self.answers.pop(one)
                self._station, self._back_to = None, question.path
                return
        del self.answers[path]

    @property
    def _display(self) -> DisplayName:
        return display_of_answers(self.answers)

    def _head(self, station: Station, left: int) -> None:
        """Say where to stand, once."""
        if station != self._station:
            self._station = station
            count = f"({left} to go)" if left > 1 else "(the last one)"
            print(f"\n{self._ink('do', station.title)}  {self._ink('note', count)}")
            self._say(station.says, "  ", "note")

    def _prompt(self, question: Question) -> str:
        """Return what is written to a question."""
        key = question.key
        choices = list(key.choices) if isinstance(key, ChoiceKey) else []
        return self._line(f"  {question.name}: ", choices)

    def _line(self, before: str, choices: list[str] | None = None) -> str:
        """Return a line from the terminal, or do what it commands."""
        written = self._session.prompt(
            FormattedText([("bold", before)]),
            completer=WordCompleter(choices or [], sentence=True),
            bottom_toolbar=BAR,
        ).strip()
        if written.lower() == "later":
            raise LaterError
        if written.lower() == "back":
            raise _BackError
        return written

    def _say(self, words: str, indent: str, meaning: str = "") -> None:
        """Print words, lines of their own kept."""
        for line in words.split("\n"):
            for row in textwrap.wrap(line, self._wide - len(indent)):
                print(f"{indent}{self._ink(meaning, row) if meaning else row}")


def _asked(question: Question, display: DisplayName, was: str) -> str:
    """Return what is asked, how it is written and what Enter does, in a few words."""
    key, asks = question.key, question.asks
    if question.other != question.path:
        asks += f" (or {question.other[-1]})"
    said = [asks if asks.endswith("?") else f"{asks}."]
    if isinstance(key, ChoiceKey):
        said.append(f"One of: {', '.join(key.choices)}.")
    if isinstance(key, QuantityKey):
        said.append(f"As in {example_in(key.limits, display)}.")
    if isinstance(key, SizesKey):
        said.append(f"As in {key.example(display).partition('= ')[2].strip(QUOTE)}.")
    if was and was != LEFT_OUT:
        said.append(f"Enter: {was}, as before.")
    elif question.on_enter:
        said.append(f"Enter: {stands_in(question, display)}.")
    return "  ".join(said)


def _explained(question: Question, display: DisplayName) -> str:
    """Return all that is known of a question, a line each."""
    key, lines = question.key, [f"{part_name(question.path)}: {question.key.meaning}"]
    if isinstance(key, QuantityKey):
        limits = key.limits
        unit = unit_of(limits, display)
        lines.append(f"Allowed: {limits.range_in(unit)}.  Without a unit: {unit}.")
        if limits.usual:
            lines.append(f"Usual: {limits.usual_in(unit)}.")
        if not limits.exact:
            lines.append("How far off it may be goes behind a ± or +/-, as in 43-1/2 +/- 1/8.")
    if question.other != question.path:
        lines.append(f"For the other way write {question.other[-1]} behind the number.")
    if question.on_enter:
        lines.append(f"Without it: {stands_in(question, display)}.")
    return "\n".join([*lines, question.station.says])

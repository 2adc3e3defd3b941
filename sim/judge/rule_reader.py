"""From a rule file to rule sets: every problem at once, each with file, rule, key and value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from typing import Any

from sim.errors import Problem, SceneError
from sim.judge.quantities import KINDS_OF_UNITS, QUANTITIES, Quantity
from sim.judge.rule import MAY_FAIL, PLACES, VEHICLE, Rule, RuleSet
from sim.judge.rule_keys import (
    EVERY,
    FORMAT,
    KEYS,
    NEEDED,
    OWN,
    RELATIONS,
    SHOP,
    STATES,
    TEXTS,
    WORDS,
    misfit,
)
from sim.motion.states import SITUATIONS
from sim.scene.quantity import QuantityError, parse
from sim.scene.rule_file import RuleFile, built_in_rules
from sim.scene.text import Path, Tables
from sim.scene.words import one_of, quote
from sim.units import factor, spell


def read_set(written: RuleFile, name: str) -> RuleSet:
    """Return one rule set of a file, with the rules that it extends.

    Args:
        written: What the file says.
        name: Name of the set in it; "" where none was named.

    Returns:
        The set; its name is led by that of the file unless it comes with the program.

    Raises:
        SceneError: With every problem found in the file.
    """
    sets = _sets(written)
    if name in sets:
        return sets[name]
    said = f"there is no rule set {quote(name)}; {one_of(name, tuple(sets))}"
    many = f"several rule sets: name one, as in {quote(f'{written.name}: {next(iter(sets))}')}"
    raise SceneError(written.name, [Problem(0, said if name else many)])


@cache
def _sets(written: RuleFile) -> Mapping[str, RuleSet]:
    """Return every set of a file, read once; raise SceneError with every problem."""
    reading = _Reading(written)
    found = reading.sets()
    if reading.problems:
        raise SceneError(written.name, reading.problems)
    return found


class _Reading:
    """One pass over a rule file."""

    def __init__(self, written: RuleFile) -> None:
        self.written = written
        self.built_in = written is built_in_rules()
        self.problems: list[Problem] = []

    def say(self, path: Path, text: str) -> None:
        """Note a problem at the line of a path, or of the nearest table around it."""
        while path and path not in self.written.lines:
            path = path[:-1]
        self.problems.append(Problem(self.written.lines.get(path, 0), text))

    def sets(self) -> dict[str, RuleSet]:
        """Return the sets of the file by name, those with nothing wrong."""
        tables = self.written.tables
        self._top(tables)
        found = {name: self._set(name, tables["set"][name]) for name in self.written.sets}
        return {name: one for name, one in found.items() if one is not None}

    def _top(self, tables: Tables) -> None:
        """Check what stands at the top."""
        if tables.get("format") != FORMAT:
            said = f"format is {quote(tables['format'])}" if "format" in tables else "no format"
            self.say(("format",), f'{said}; write format = "{FORMAT}" at the top')
        for key in tables:
            if key not in ("format", "set", "rule"):
                self.say((key,), f"{key} is not known here; {one_of(key, ('set', 'rule'))}")
        if not self.written.sets:
            self.say(("set",), 'no rule set: name at least one, as in [set."our shop"]')

    def _set(self, name: str, table: Any) -> RuleSet | None:
        """Return one set, or None where something is wrong with it."""
        path, here = ("set", name), f"set {quote(name)}"
        if not name.isprintable():
            self.say(path, f"{here}: its name holds a character that cannot be printed")
            return None
        if not isinstance(table, dict):
            self.say(path, f'{here} is a value; a set is a table: [set."{name}"]')
            return None
        for key in table:
            if key not in ("scope", "extends", "rule"):
                allowed = one_of(key, ("scope", "extends", "rule"))
                self.say((*path, key), f"{here}, {key} is not known; {allowed}")
        scope = self._text((*path, "scope"), table.get("scope", ""), f"{here}, scope", 110)
        rules = {rule.id: rule for rule in self._extended(path, here, table.get("extends"))}
        for where, group in ((("rule",), self.written.tables), ((*path, "rule"), table)):
            for id, written in self._group(where, group.get("rule", {})).items():
                rule = self._rule((*where, id), f'{here}, rule "{id}"', written, rules.get(id))
                if rule is not None:
                    rules[id] = rule
        if not rules and not self.problems:
            self.say(path, f'{here} has no rule; extends = "two-piece service" takes some over')
        led = name if self.built_in else f"{self.written.name}: {name}"
        return RuleSet(name=led, scope=scope or "", rules=tuple(rules.values()))

    def _extended(self, path: Path, here: str, base: Any) -> tuple[Rule, ...]:
        """Return the rules of the set that is extended."""
        if base is None:
            return ()
        names = built_in_rules().sets
        if self.built_in or base not in names:
            said = f"{here}, extends is {quote(base)}; {one_of(str(base), names)}"
            self.say((*path, "extends"), said)
            return ()
        return read_set(built_in_rules(), base).rules

    def _group(self, path: Path, group: Any) -> Mapping[str, Tables]:
        """Return the rules of a group that are tables."""
        if not isinstance(group, dict):
            self.say(path, 'rule is a value; a rule is a table with a name: [rule."gap"]')
            return {}
        for id, written in group.items():
            if not id.isprintable():
                said = f"rule {quote(id)}: its name holds a character that cannot be printed"
                self.say((*path, id), said)
            if not isinstance(written, dict):
                self.say((*path, id), f'rule "{id}" is a value; a rule is a table: [rule."{id}"]')
        return {id: written for id, written in group.items() if isinstance(written, dict)}

    # --- one rule -----------------------------------------------------------------------------

    def _rule(self, path: Path, here: str, written: Tables, base: Rule | None) -> Rule | None:
        """Return a rule, or None where something is wrong with it."""
        before = len(self.problems)
        for key in written:
            if key not in KEYS:
                self.say((*path, key), f"{here}, {key} is not known; {one_of(key, KEYS)}")
        values = self._values(path, here, written, base)
        quantity = QUANTITIES.get(values.get("quantity", ""))
        if quantity is not None:
            for key, said in misfit(values, quantity, base):
                self.say((*path, key), f"{here}, {key} is {quote(values[key])}; {said}")
            self._limit(path, here, written, quantity, values)
            self._states(path, here, quantity, values)
        for key, example in NEEDED.items():
            if key not in written and base is None:
                self.say(path, f"{here}: {key} is missing; write {example}")
        if len(self.problems) > before:
            return None
        return Rule(id=path[-1], remedy=values.pop("do"), **values)

    def _values(self, path: Path, here: str, written: Tables, base: Rule | None) -> dict[str, Any]:
        """Return what a rule says, what it takes over, and what is usual."""
        values: dict[str, Any] = {"limit": None, "relation": None, "strict": False}
        values |= {"broken_in": "any", "setting": "", "cause": path[-1]} | dict.fromkeys(STATES, ())
        values |= {} if self.built_in else SHOP
        values.setdefault("source", f"the shop's own rule, {self.written.name}")
        if base is not None:
            mine = ("standing", "source") if _limits(written) else ()
            values |= {f.name: getattr(base, f.name) for f in fields(base) if f.name not in mine}
            values["do"] = values.pop("remedy")
            values.pop("id")
        for key, most in TEXTS.items():
            if key in written:
                values[key] = self._text((*path, key), written[key], f"{here}, {key}", most)
        for key, words in WORDS.items():
            if key in written:
                values[key] = self._one_of((*path, key), written[key], f"{here}, {key}", words)
        if "quantity" in written:
            said = f"{here}, quantity"
            name = self._one_of((*path, "quantity"), written["quantity"], said, tuple(QUANTITIES))
            values["quantity"] = name
        for key in STATES:
            if key in written:
                values[key] = self._places((*path, key), written[key], f"{here}, {key}")
        severity = written.get("severity", values.get("severity"))
        values["severity"] = self._severity((*path, "severity"), severity, here)
        return values

    def _limit(
        self, path: Path, here: str, written: Tables, quantity: Quantity, values: dict[str, Any]
    ) -> None:
        """Read the limit of a rule."""
        keys = _limits(written)
        if len(keys) > 1:
            self.say((*path, keys[1]), f"{here} has both {keys[0]} and {keys[1]}; keep one")
        if not keys:
            if values["relation"] is None:
                self.say(path, f'{here} has no limit; write at_most = "{quantity.example}"')
            return
        key, said = keys[0], f"{here}, {keys[0]}"
        values["relation"], values["strict"] = RELATIONS[key]
        text = written[key]
        if text == OWN or quantity.own_limit:
            if text != OWN:
                self.say((*path, key), f'{said} is {quote(text)}; this quantity has "{OWN}" limit')
            values["limit"] = None
            if not quantity.own_limit:
                self.say((*path, key), f'{said}: a limit belongs here, as in "{quantity.example}"')
            return
        kind = KINDS_OF_UNITS[quantity.unit]
        if not isinstance(text, str):
            self.say(
                (*path, key), f'{said} is {quote(text)}; in quotes, as in "{quantity.example}"'
            )
            return
        try:
            found = parse(kind, text)
        except QuantityError as error:
            self.say((*path, key), f"{said} is {quote(text)}: {error}")
            return
        if found.spread or found.value < 0:
            self.say((*path, key), f"{said} is {quote(text)}; a limit is 0 or more, without ±")
        values["limit"] = float(f"{found.value / factor(kind, spell(quantity.unit)):.12g}")

    def _states(self, path: Path, here: str, quantity: Quantity, values: dict[str, Any]) -> None:
        """Check that a rule looks at states that its quantity has, and may fail where it says."""
        fails, watches = values["fails_in"], values["watches_in"]
        if fails is None or watches is None or values["shows_in"] is None:
            return
        allowed = SITUATIONS if quantity.by_state else (VEHICLE,)
        for key in STATES:
            wrong = [word for word in values[key] if word not in allowed]
            if wrong:
                why = "has no states" if VEHICLE in allowed else "changes with the state"
                name = f'quantity "{values["quantity"]}" {why}'
                said = f"{here}, {key} is {quote(', '.join(wrong))}; {name}: "
                self.say((*path, key), said + one_of(wrong[0], allowed))
        twice = [word for word in fails if word in watches]
        if twice:
            self.say((*path, "watches_in"), f"{here}: {twice[0]} stands in fails_in and watches_in")
        if not fails and not watches:
            said = f'{here} applies nowhere; write fails_in or watches_in, as in "{allowed[0]}"'
            self.say(path, said)
        capped = values["standing"] not in MAY_FAIL and not values["setting"]
        if fails and capped and not quantity.own_limit:
            said = f'{here}: a limit that is "{values["standing"]}" only watches: write watches_in'
            self.say((*path, "fails_in"), said)

    def _text(self, path: Path, value: Any, said: str, most: int) -> str | None:
        """Return a text, or note what is wrong with it."""
        if not isinstance(value, str):
            self.say(path, f"{said} is {quote(value)}; text in quotes belongs here")
        elif len(value) > most:
            self.say(path, f"{said} has {len(value)} characters; at most {most}")
        elif not value.isprintable():
            self.say(path, f"{said} holds a character that cannot be printed")
        else:
            return value
        return None

    def _one_of(self, path: Path, value: Any, said: str, words: tuple[str, ...]) -> Any:
        """Return a word out of some, or note which there are."""
        if value in words:
            return value
        self.say(path, f"{said} is {quote(value)}; {one_of(str(value), words)}")
        return ""

    def _places(self, path: Path, value: Any, said: str) -> tuple[str, ...] | None:
        """Return the situations in a text, in their usual order."""
        text = self._text(path, value, said, 160)
        if text is None:
            return None
        if text == EVERY:
            return SITUATIONS
        words = [word.strip() for word in text.split(",") if word.strip()]
        wrong = next((word for word in words if word not in PLACES), None)
        if wrong is not None:
            self.say(path, f"{said} is {quote(wrong)}; {one_of(wrong, (EVERY, *PLACES))}")
            return None
        return tuple(place for place in PLACES if place in words)

    def _severity(self, path: Path, value: Any, here: str) -> int:
        """Return a severity from 1 to 10."""
        if str(value) not in map(str, range(1, 11)):
            self.say(path, f'{here}, severity is {quote(value)}; allowed: "1" to "10"')
            return 1
        return int(value)


def _limits(written: Tables) -> list[str]:
    """Return the keys of a rule that give its limit."""
    return [key for key in RELATIONS if key in written]

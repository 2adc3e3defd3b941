"""Rule sets by their names: those that come with the program, and those of a shop's own file."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from sim.errors import DomainError
from sim.judge.rule import RuleSet
from sim.judge.rule_reader import read_set
from sim.scene.rule_file import built_in_rules, read_rule_file, split_name


def rule_sets() -> tuple[str, ...]:
    """Return the names of the rule sets that come with the program."""
    return built_in_rules().sets


def load_rules(name: str, folder: Path = Path()) -> RuleSet:
    """Return a rule set by the name that a scene or a command line gives it.

    A scene's ``rules`` go with the folder of the scene, ``--rules`` with the working directory::

        load_rules("two-piece service")
        load_rules("shop.toml: our shop", path.parent)
        load_rules("shop.toml", path.parent)  # a file with one set

    Args:
        name: A built-in set; or a rule file (its name ends in ".toml") and, where it holds
            several sets, ": " and one of them.
        folder: Where the file is.

    Returns:
        The set, with the rules that it extends.

    Raises:
        DomainError: If there is no such set; the message lists the names there are.
        SceneError: If the file cannot be used, with every problem in it.
    """
    file, chosen = split_name(name)
    if not file:
        return _built_in(name)
    written = read_rule_file(folder / file)
    if not chosen and len(written.sets) == 1:
        chosen = written.sets[0]
    return read_set(written, chosen)


@cache
def _built_in(name: str) -> RuleSet:
    """Return a set that comes with the program."""
    written = built_in_rules()
    if name not in written.sets:
        raise DomainError(f'no rule set "{name}"; there are: {", ".join(written.sets)}')
    return read_set(written, name)

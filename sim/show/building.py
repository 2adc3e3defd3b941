"""The one layout that is built: sound as it stands, or with its cures carried out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from sim.errors import SimError
from sim.explore.allowed import Allowed, allowed
from sim.explore.cures_lines import carried_out
from sim.explore.judged import judged
from sim.judge.rule import RuleSet
from sim.scene.parts import Scene
from sim.show.outlook import Outlook, outlook_of
from sim.show.result import Result
from sim.show.which import best_of


@dataclass(frozen=True, kw_only=True, eq=False)
class Building:
    """One layout as it is to be built.

    Attributes:
        scene: The scene.
        rules: The rule set that judged it.
        result: The layout, its cures carried out.
        outlook: What it comes to.
        carries: Lines of a scene that it has in and the file does not, tried ones first.
        does: What of them is a cure, in words; "" for none.
    """

    scene: Scene
    rules: RuleSet
    result: Result
    outlook: Outlook
    carries: tuple[str, ...] = ()
    does: str = ""

    @cached_property
    def allowed(self) -> Allowed:
        """What its rule set leaves of the readings after the work, once it is asked for."""
        configuration, numbers = self.result.configuration, self.result.measurements.numbers
        return allowed(configuration, self.rules, numbers)

    @property
    def sound(self) -> bool:
        """Whether nothing on it fails or is open."""
        return self.outlook.grade == "good"


def building_of(
    scene: Scene, results: Sequence[Result], rules: RuleSet, *, even_failing: bool = False
) -> Building:
    """Return the layout to build of some configurations.

    Args:
        scene: The scene.
        results: One a configuration that is asked for, with its cures.
        rules: The rule set that judged them.
        even_failing: Whether one that fails or is open is given too, as it stands.

    Returns:
        The best of them.

    Raises:
        SimError: If it is not sound, with why and what to do.
    """
    outlooks = [outlook_of(result, scene.display) for result in results]
    best = best_of(outlooks)
    result = results[outlooks.index(best)]
    carries = tuple(dict.fromkeys(line for cure in best.cures for line in cure.changes))
    if best.grade in ("good if", "good for less") and carries:
        cured = with_lines(result, carries, rules)
        after = outlook_of(cured, scene.display)
        if after.grade == "good":
            does = " and ".join(cure.does for cure in best.cures)
            return _building(scene, rules, cured, after, carries, does)
    if best.grade != "good" and not even_failing:
        raise SimError(_refusal(best))
    return _building(scene, rules, result, best)


def _building(
    scene: Scene,
    rules: RuleSet,
    result: Result,
    outlook: Outlook,
    carries: tuple[str, ...] = (),
    does: str = "",
) -> Building:
    """Return a layout with the lines that its scene file does not have."""
    again = {_key(line) for line in carries}
    tried = [line for line in scene.changes if _key(line) not in again]
    return Building(
        scene=scene,
        rules=rules,
        result=result,
        outlook=outlook,
        carries=(*tried, *carries),
        does=does,
    )


def _key(line: str) -> str:
    """Return which key a line of a scene writes."""
    return line.partition("=")[0].strip()


def with_lines(result: Result, lines: Sequence[str], rules: RuleSet) -> Result:
    """Return a layout with lines written into its scene, judged anew.

    Args:
        result: The layout, built from a design.
        lines: As in 'bearing.1.up = "534 mm"'.
        rules: The rule set.

    Returns:
        Without cures.

    Raises:
        GeometryError: If it cannot be reached.
    """
    was = result.configuration
    assert was.design is not None
    built = carried_out(was.design, lines).build()
    named = replace(built, about=was.about, like=was.like, differences=was.differences)
    read = judged(named, rules)
    return Result(configuration=named, measurements=read.measurements, findings=read.findings)


def _refusal(outlook: Outlook) -> str:
    """Return why there is no sheet for a layout, and what to do."""
    name = outlook.name
    nearest = ""
    if outlook.nearest:
        nearest = (
            f" Nearest: {outlook.nearest.does}, which leaves to watch {outlook.nearest.leaves}."
        )
    if outlook.doubted:
        nearest = (
            f' Read again; if it is the same, write read_again = "{", ".join(outlook.doubted)}"'
        )
        nearest += " into the scene."
    return (
        f'"{name}" is not sound, so nothing is printed to build it by. It is {outlook.sentence}.'
        f'{nearest} All of it: halfturn check --only "{name}" --all. '
        "A build sheet all the same, marked as failing: "
        f'halfturn sheet --only "{name}" --even-failing.'
    )

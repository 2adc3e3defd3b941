"""Which design to build: a short list of clearly different ones, each carried out and sound."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from sim.crew import each
from sim.errors import SimError
from sim.explore.choose_bases import Base, bases_of, pieces
from sim.explore.choose_pool import BAR, WEDGED, Kind, Pool, finest, pool_of
from sim.explore.choose_rows import row
from sim.explore.choose_stock import StockTube
from sim.explore.cures_changes import signed
from sim.explore.cures_lines import lines
from sim.explore.judged import Judged, judged
from sim.judge.findings import Finding, Findings
from sim.judge.judge import rank
from sim.judge.rule import RuleSet
from sim.judge.whirl_quantities import KMH
from sim.measure.sizing import SERIES, next_series, sizing_torques
from sim.scene.append import Addition, appended
from sim.scene.parts import Configuration, Scene
from sim.scene.reader import read_scene

MOST = 5  # designs of a short list
TRIES = 4  # designs of one kind that are carried out
APART = {"aft": 0.02, "up": 0.004}  # [m] between those
ENOUGH_SPEED, ENOUGH_CLEAR = 1.5, 0.03  # of top speed; [m]: more of these is worth no part
GRAVE = 9  # severity of what takes parts apart or rubs them through
TRIAL = "design on trial"
Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Choice:
    """A design that was carried out and is sound.

    Attributes:
        base: Its structure.
        kind: Whether the pinion is on wedges, and wrap controlled.
        lines: What it writes into the scene.
        configuration: It, read back from the scene.
        judged: What it comes to.
        series: Series that its joints had better be of, or None where it was not chosen.
    """

    base: Base
    kind: Kind
    lines: tuple[str, ...]
    judged: Judged
    series: str | None

    @property
    def configuration(self) -> Configuration:
        """It, read back from the scene."""
        return self.judged.configuration

    @property
    def parts(self) -> int:
        """How many things are to be bought or done: shafts, bearings, wedges, a traction bar."""
        return 2 * self.base.shafts - 1 + sum(self.kind)

    @property
    def whirl(self) -> float:
        """Road speed that whirl leaves [km/h]; inf where no rule looks at it."""
        rules, findings = self.judged.rules, self.judged.findings.findings
        found = (f.value for f in findings if rules.rule(f.rule).quantity == "whirl limit")
        return min(found, default=np.inf)

    @property
    def worst_angle(self) -> tuple[float, int]:
        """Largest joint angle at ride height, loaded and at cruise [rad], and the joint."""
        numbers = self.judged.measurements.numbers
        calm = [
            k
            for k, state in enumerate(numbers.states)
            if state.situation in ("ride height", "loaded", "cruise")
        ]
        angles = numbers.joint_angle[0, calm].max(axis=0)
        return float(angles.max()), int(angles.argmax()) + 1

    @property
    def nearest(self) -> tuple[float, str] | None:
        """Least clearance [m] to what is not the ground, and between what; None without any."""
        own = ("shaft", "joint", "bearing")
        every = self.judged.measurements.numbers.near
        ends = ("joint 1", f"joint {self.base.shafts + 1}")  # no design moves them
        near = [
            c
            for c in every
            if c.obstacle != "ground" and c.part.startswith(own) and c.part not in ends
        ]
        if not near:
            return None
        least = min(near, key=lambda one: one.distance)
        return least.distance, f"{least.part} to {least.obstacle}"

    @property
    def watches(self) -> tuple[Finding, ...]:
        """What is worth watching, the gravest first."""
        return tuple(f for f in self.judged.findings.findings if rank(f)[0] == 2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chosen:
    """What was chosen.

    Attributes:
        choices: The short list, less work first.
        beaten: Others that were carried out and are sound, but better in nothing than one of it.
        pools: What was left of every structure, by number of its base.
        bases: The structures looked at.
        left: What was not looked at and why, in sentences.
    """

    choices: tuple[Choice, ...]
    beaten: tuple[Choice, ...]
    bases: tuple[Base, ...]
    pools: Mapping[int, Pool]
    left: tuple[str, ...]


def is_sound(findings: Findings) -> bool:
    """Say whether a design is sound: nothing fails or is open, nothing may come apart."""
    grave = (f for f in findings.findings if rank(f)[0] == 2 and f.severity >= GRAVE)
    return not findings.may_fail and next(grave, None) is None


def choose(
    scene: Scene,
    rules: RuleSet,
    stock: Sequence[StockTube],
    progress: Progress,
    only: str | None = None,
) -> Chosen:
    """Return a short list of designs for the vehicle of a scene.

    Args:
        scene: The scene; no reading of it is doubted.
        rules: The rule set.
        stock: Tubes to choose from, the lightest first.
        progress: Called with a stage and how much of it is done, 0 to 1 [-].
        only: Name of the one configuration whose structure is looked at.

    Returns:
        At most five designs, each carried out and sound, clearly different.

    Raises:
        DomainError: If there is no such configuration.
    """
    bases, left = bases_of(scene, only)
    pools: dict[int, Pool] = {}
    orders: list[tuple[Base, Pool, Kind]] = []
    for number, base in enumerate(bases):
        stage = f"look at {pieces(base.shafts)}"
        try:
            pool = pool_of(base.design, rules.rules, stock, partial(progress, stage))
        except SimError as error:
            left.append(f"{pieces(base.shafts).capitalize()}: {error}.")
            continue
        finally:
            progress(stage, 1.0)
        pools[number] = pool
        orders += [(base, pool, kind) for kind in pool.kinds()]
    trial = Trial(scene, rules, stock, only)
    found: list[Choice] = []
    for done, one in enumerate(each(trial.best, orders, "fork", most=2), start=1):
        progress("carry out", done / len(orders))
        if isinstance(one, Choice):
            found.append(one)
    choices = short_list(found)
    return Chosen(
        choices=choices,
        beaten=tuple(one for one in found if one not in choices),
        bases=tuple(bases),
        pools=pools,
        left=tuple(left),
    )


def short_list(found: Sequence[Choice]) -> tuple[Choice, ...]:
    """Return at most five designs, less work first, none that another beats in everything."""
    ranked = sorted(found, key=lambda one: (one.parts, len(one.watches)))
    kept = [
        one for k, one in enumerate(ranked) if not any(_beats(other, one) for other in ranked[:k])
    ]
    return tuple(kept[:MOST])


def _beats(one: Choice, other: Choice) -> bool:
    """Say whether one design, no more work, is as good as another in all that a reader compares."""
    apart = [min(c.nearest[0], ENOUGH_CLEAR) if c.nearest else ENOUGH_CLEAR for c in (one, other)]
    enough = ENOUGH_SPEED * float(one.configuration.vehicle.top_speed) / KMH
    return (
        one.parts <= other.parts
        and min(one.whirl, enough) >= 0.98 * min(other.whirl, enough)
        and one.worst_angle[0] <= other.worst_angle[0] + np.radians(0.25)
        and apart[0] >= apart[1] - 3e-3
        and len(one.watches) <= len(other.watches)
    )


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """Designs carried out in a scene.

    Attributes:
        scene, rules, stock: See ``choose``.
        only: The one configuration in which lines are tried, or None.
    """

    scene: Scene
    rules: RuleSet
    stock: Sequence[StockTube]
    only: str | None = None

    def best(
        self, order: tuple[Base, Pool, Kind], relaxed: Mapping[str, float] | None = None
    ) -> Choice | None:
        """Return the first design of one kind that is sound once it is carried out, or None.

        Args:
            order: Structure, what is left of it, and the kind.
            relaxed: Values of the vehicle that were changed for the pool [SI unit], by path.
        """
        base, pool, kind = order
        numbers, _ = finest(pool, pool.kinds()[kind])
        tried: list[dict[str, float]] = []
        for number in numbers.tolist():
            values = row(pool.rows, number)
            if any(_alike(values, other) for other in tried):
                continue
            tried.append(values)
            choice = self.carry_out(base, {**values, **(relaxed or {})}, kind)
            if choice is not None and is_sound(choice.judged.findings):
                return choice
            if len(tried) == TRIES:
                break
        return None

    def carry_out(self, base: Base, values: Mapping[str, float], kind: Kind) -> Choice | None:
        """Return a design written into the scene and judged; None where it cannot be."""
        said, series = self.lines(base, values), series_of(base.configuration)
        if series is not None:
            said = (*said, f'series = "{series}"')
        try:
            configuration = self.read(base.written(said, TRIAL))
            return Choice(
                base=base,
                kind=kind,
                lines=said,
                judged=judged(configuration, self.rules),
                series=series,
            )
        except SimError:
            return None

    def read(self, new: Addition) -> Configuration:
        """Return a configuration once it stands in the scene.

        Raises:
            SceneError: If the scene is refused with it.
        """
        scene, name = self.scene, f"{self.scene.name}.toml"
        whole = appended(scene.text.encode(), name, new, scene.folder)
        read = read_scene(whole, name, changes=scene.changes, only=self.only, folder=scene.folder)
        return read.configuration(new.name)

    def lines(self, base: Base, values: Mapping[str, float]) -> tuple[str, ...]:
        """Return what a design changes, as lines; sizes of tubes as their list has them."""
        design = base.design
        changed = {
            path: value
            for path, value in values.items()
            if abs(value - signed(design, path)) > 1e-9
        }
        said = []
        for line in lines(design, changed):
            path = line.partition(" = ")[0]
            if ".tube." in path and path in changed:
                line = f'{path} = "{self._size(path, values, design.display)}"'
            said.append(line)
        return tuple(said)

    def _size(self, path: str, values: Mapping[str, float], display: str) -> str:
        """Return a size of a tube, exactly as long as it is."""
        value = values[path]
        if path.endswith("yield_stress"):
            return f"{value / 1e6:.10g} MPa"
        if display == "inch":
            return f"{round(value / 25.4e-3, 4):g} in"
        return f"{round(value * 1e3, 2):g} mm"


def _alike(one: Mapping[str, float], other: Mapping[str, float]) -> bool:
    """Say whether two designs of one kind are nearly the same."""
    far = (
        abs(value - other[path]) >= APART.get(path.rpartition(".")[2], np.inf)
        for path, value in one.items()
        if path.startswith("bearing.")
    )
    turned = abs(one.get(WEDGED, 0.0) - other.get(WEDGED, 0.0)) > 1e-6
    return not (turned or one.get(BAR) != other.get(BAR) or any(far))


def series_of(configuration: Configuration) -> str | None:
    """Return the series that joints are sized to, or None where the scene settles it.

    Source:
        A table of light series from memory; the maker's sheet decides.
    """
    torque = sizing_torques(configuration).road
    settled = any(joint.rated_torque is not None for joint in configuration.joints)
    if torque is None or settled or SERIES.get(configuration.series or "", 0.0) >= torque:
        return None
    wanted = next_series(float(torque))
    return None if wanted == configuration.series else wanted


def addition_of(choice: Choice, name: str, words: str, looked_at: int) -> Addition:
    """Return a design as a configuration to be written into its scene.

    Args:
        choice: The design.
        name: Its name there.
        words: What it buys, in a sentence.
        looked_at: How many designs it was chosen of.
    """
    start = f", starting from {choice.base.like}" if choice.base.like else ""
    return choice.base.written(
        choice.lines,
        name,
        about=words,
        comment=(
            f"Found by halfturn design among {looked_at} designs{start}.",
            f'Sound under the rule set "{choice.judged.rules.name}", as the scene stands above.',
            *choice.base.said,
        ),
    )

"""Designs carried out: written into the scene as text, read back, solved, measured and judged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sim.errors import SimError
from sim.explore.choose_bases import Base
from sim.explore.choose_pool import BAR, WEDGED, Kind, Pool, finest
from sim.explore.choose_rows import row
from sim.explore.choose_stock import StockTube
from sim.explore.cures_changes import signed
from sim.explore.cures_lines import lines, on_paper
from sim.explore.judged import Judged, judged
from sim.judge.findings import Finding, Findings
from sim.judge.judge import rank
from sim.judge.rule import RuleSet
from sim.measure.sizing import SERIES, next_series, sizing_torques
from sim.scene.append import Addition, appended
from sim.scene.parts import Configuration, Scene
from sim.scene.reader import read_scene

TRIES = 4  # designs of one kind that are carried out
APART = {"aft": 0.02, "up": 0.004}  # [m] between those
GRAVE = 9  # severity of what takes parts apart or rubs them through
TRIAL = "design on trial"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Choice:
    """A design that was carried out and is sound.

    Attributes:
        base: Its structure.
        kind: Whether the pinion is on wedges, and wrap controlled.
        lines: What it writes into the scene.
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


def is_sound(findings: Findings) -> bool:
    """Say whether a design is sound: nothing fails or is open, nothing may come apart."""
    grave = (f for f in findings.findings if rank(f)[0] == 2 and f.severity >= GRAVE)
    return not findings.may_fail and next(grave, None) is None


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
        return on_paper(base.configuration, said)

    def _size(self, path: str, values: Mapping[str, float], display: str) -> str:
        """Return a size of a tube as it is sold: one in millimeters stays so in an inch scene."""
        value = values[path]
        if path.endswith("yield_stress"):
            return f"{value / 1e6:.10g} MPa"
        thousandths = value / 25.4e-6
        if display == "inch" and abs(thousandths - round(thousandths)) < 1e-6:
            return f"{round(thousandths) / 1e3:g} in"
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

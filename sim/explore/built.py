"""A truck as built: where its parts landed, the new verdict, and what can still be set right."""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace

import numpy as np

from sim import units
from sim.arrays import Array
from sim.explore.built_fit import Fit, fit
from sim.explore.built_levers import levers_after
from sim.explore.built_model import hung_to
from sim.explore.built_unknowns import kind_of
from sim.explore.cures_lines import TO_LEVEL, amount, unit_of
from sim.explore.cures_trials import cured
from sim.explore.evaluate import CUT
from sim.explore.judged import Judged, judged
from sim.explore.sampling import BAND
from sim.judge.rule import RuleSet
from sim.motion.chain import reference_of
from sim.scene.parts import Configuration, Design, Linked, Reading
from sim.scene.readback import Readback
from sim.scene.values import opposite

GAP, ENGAGED = "spline.gap", "spline.engaged"


@dataclass(frozen=True, slots=True, kw_only=True)
class Landed:
    """Where something that the shop set is [SI unit]."""

    path: str
    planned: float
    value: float
    spread: float  # its ±

    @property
    def off(self) -> float:
        """How far it is from where it was planned."""
        return self.value - self.planned


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AsBuilt:
    """What readings after the work say of a configuration.

    Attributes:
        plan: The configuration as it was planned.
        readback: What was read.
        fit: The values that fit best.
        landed: What the shop set and the readings tell, as it is.
        judged: The verdict on the truck as it is, with cures that were carried out; None while the
            readings contradict one another.
    """

    plan: Configuration
    readback: Readback
    fit: Fit
    landed: tuple[Landed, ...]
    judged: Judged | None

    def drawn(self) -> tuple[float, ...]:
        """Return how far aft of its bearing on the shaft each bracket stands [m].

        The rubber between both is drawn by that; nothing where the readings contradict.
        """
        if self.judged is None:
            return ()
        planned, there = (
            reference_of(one).to_joint for one in (self.plan, self.judged.configuration)
        )
        return tuple((np.asarray(planned) - np.asarray(there)).tolist())

    def is_assumed(self, number: int) -> bool:
        """Say whether the ± of a reading, by its number from 0, was not written."""
        one = self.fit.seen[number]
        return f"{one.height}: {one.reading.path}" in self.readback.assumed


def as_built(plan: Configuration, readback: Readback, rules: RuleSet) -> AsBuilt:
    """Return what readings after the work say of a configuration.

    Args:
        plan: The configuration that was built, from a scene.
        readback: What was read.
        rules: From ``load_rules``.

    Raises:
        GeometryError: If the plan cannot reach a posture that was read, or the truck as it is one
            of the sweep.
    """
    found = fit(plan, readback)
    verdict = None if found.contradicts else _judged(plan, found, rules)
    return AsBuilt(plan=plan, readback=readback, fit=found, landed=_landed(found), judged=verdict)


def _judged(plan: Configuration, found: Fit, rules: RuleSet) -> Judged:
    """Return the verdict on the truck as it is, with cures."""
    truck = fused(plan, found)
    read = judged(replace(truck.build(), about=plan.about), rules, settle=False)
    return replace(read, findings=cured(read, functools.partial(levers_after, plan=plan.design)))


def _landed(found: Fit) -> tuple[Landed, ...]:
    """Return what the shop set and the readings tell."""
    deviation = np.sqrt(np.diag(found.spread))
    return tuple(
        Landed(
            path=one.key,
            planned=one.value,
            value=one.value + one.sigma * float(off),
            spread=one.spread * float(wide),
        )
        for one, off, wide in zip(found.unknowns, found.off, deviation, strict=True)
        if one.kind == "set" and one.key not in found.not_read
    )


def fused(plan: Configuration, found: Fit) -> Design:
    """Return the design of the truck as it is, its readings as uncertain as they now are.

    Their errors hang together: a slope that was read ties the heights at both ends of a shaft.

    Args:
        plan: The configuration that was built.
        found: The values that fit the readings on it best.
    """
    design = hung_to(plan, ())
    kept = [
        k for k, one in enumerate(found.unknowns) if one.kind != "frame" and (one.kind != "travel")
    ]
    paths = [found.unknowns[k].key for k in kept]
    sigma = np.array([found.unknowns[k].sigma for k in kept])
    value = np.array([found.unknowns[k].value for k in kept]) + sigma * found.off[kept]
    spread = sigma[:, None] * found.spread[np.ix_(kept, kept)] * sigma
    if GAP in paths and ENGAGED in design.values:
        paths, value, spread = _with_engaged(design, found, paths, value, spread)
    deviation = np.sqrt(np.diag(spread))
    readings = {
        path: _reading(design, path, float(at), BAND * float(wide))
        for path, at, wide in zip(paths, value, deviation, strict=True)
    }
    own = {path: read for path, read in readings.items() if not path.startswith(CUT)}
    truck = design.vary({path: read.value for path, read in own.items()})
    return replace(
        truck,
        readings={**truck.readings, **own},
        cut_as=_on_paper(truck.cut_as, found, readings),
        linked=Linked(paths=tuple(paths), root=_root(spread / np.outer(deviation, deviation))),
    )


def _with_engaged(
    design: Design, found: Fit, paths: list[str], value: Array, spread: Array
) -> tuple[list[str], Array, Array]:
    """Return paths, values and covariance with the engaged length: what the gap gains it loses."""
    gap = paths.index(GAP)
    planned = next(one.value for one in found.unknowns if one.key == GAP)
    read = design.readings.get(ENGAGED)
    own = (read.spread / BAND) ** 2 if read else 0.0
    less = -spread[gap]
    whole = np.block([[spread, less[:, None]], [less[None, :], spread[gap, gap] + own]])
    engaged = float(design.values[ENGAGED]) - (value[gap] - planned)
    return [*paths, ENGAGED], np.append(value, engaged), whole


def _on_paper(cut_as: Design | None, found: Fit, readings: dict[str, Reading]) -> Design | None:
    """Return the design whose shafts the truck carries, with what both share."""
    if cut_as is None:
        return None
    shared = {path: read for path, read in readings.items() if path in found.tied}
    apart = {p.removeprefix(CUT): read for p, read in readings.items() if p.startswith(CUT)}
    new = {**shared, **apart}
    moved = cut_as.vary({path: read.value for path, read in new.items()}) if new else cut_as
    return replace(moved, readings={**moved.readings, **new})


def _root(correlation: Array) -> Array:
    """Return the symmetric root of a matrix, which may have no inverse."""
    values, vectors = np.linalg.eigh(correlation)
    return np.asarray((vectors * np.sqrt(np.maximum(values, 0.0))) @ vectors.T)


def _reading(design: Design, path: str, value: float, spread: float) -> Reading:
    """Return a fused reading, its text in the unit in which the scene has it."""
    before = design.readings.get(path) or design.readings.get(opposite(path))
    kind = units.LENGTH if before is None else kind_of(before)
    text = f"{value:.6g} ± {spread:.3g}"
    if kind is not None:
        unit = unit_of(design, kind, path)
        said = units.spell(unit)
        number = amount(kind, value, unit, fine=True).removesuffix(said)
        text = f"{number}± {spread / units.factor(kind, unit):.3g} {said}"
        tail = before is not None and before.text.endswith(TO_LEVEL)
        text = f"{text}{TO_LEVEL}" if tail else text
    return Reading(path=path, value=value, spread=spread, text=text, status="measured", line=0)

"""Everything that one configuration came to: what the report is written from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from sim.judge.findings import Findings
from sim.measure.measurements import Measurements
from sim.motion.motion import Motion
from sim.motion.solve import solve
from sim.scene.parts import Configuration

if TYPE_CHECKING:  # a check does without the one, and without the physics engine of the other
    from sim.explore.effects import Effects
    from sim.explore.felt_elsewhere import Elsewhere
    from sim.explore.felt_near import Near
    from sim.world.agreement import Agreement


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Result:
    """One configuration, swept, measured and judged.

    Attributes:
        configuration: Whose.
        measurements: Read off its motion.
        findings: The verdicts on them.
        agreement: How far the rigid-body route is from the exact one, or None if it was not run.
        pictures: Plots and stills written for it, SVG or PNG.
        effects: What each millimeter does to it, or None if it was not asked.
        near: What it hands on where each complaint of the scene is felt, by its name.
        advised: The same with what is advised for it carried out; empty where nothing is.
        elsewhere: Where it is looked at alone: the layouts in which complaints are felt, which are
            not judged, by the name of the complaint.
    """

    configuration: Configuration
    measurements: Measurements
    findings: Findings
    agreement: Agreement | None = None
    pictures: tuple[Path, ...] = ()
    effects: Effects | None = None
    near: Mapping[str, tuple[Near, ...]] = field(default_factory=dict)
    advised: Mapping[str, tuple[Near, ...]] = field(default_factory=dict)
    elsewhere: Mapping[str, Elsewhere] = field(default_factory=dict)

    @property
    def motion(self) -> Motion:
        """Its motion, solved anew: it is large, and most readers need its measurements only."""
        return solve(self.configuration, states=self.measurements.numbers.states)

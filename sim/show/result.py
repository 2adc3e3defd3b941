"""Everything that one configuration came to: what the report is written from."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sim.judge.findings import Findings
from sim.measure.measurements import Measurements
from sim.motion.motion import Motion
from sim.scene.parts import Configuration

if TYPE_CHECKING:  # it brings the physics engine along, which a check does without
    from sim.world.agreement import Agreement


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Result:
    """One configuration, swept, measured and judged.

    Attributes:
        configuration: Whose.
        motion: As solved.
        measurements: Read off that motion.
        findings: The verdicts on them.
        agreement: How far the rigid-body route is from the exact one, or None if it was not run.
        pictures: Plots and stills written for it, SVG or PNG.
    """

    configuration: Configuration
    motion: Motion
    measurements: Measurements
    findings: Findings
    agreement: Agreement | None = None
    pictures: tuple[Path, ...] = ()

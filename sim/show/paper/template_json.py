"""What a drilling template says to machines; fields in DEVELOPERS.md, "For machines"."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from sim.display import DisplayName, display_of
from sim.judge.drilling_plan import DrillingPlan, RailPlan
from sim.judge.holes import Drilled
from sim.show.building import Building
from sim.show.machine import amount_json
from sim.show.paper.template_words import hole_name, move_lines


def template_json(build: Building, plans: Sequence[DrillingPlan], path: Path) -> dict[str, Any]:
    """Return a drilling template for machines.

    Args:
        build: The layout.
        plans: One a bearing.
        path: The file written.
    """
    display = build.scene.display
    return {
        "scene": build.scene.name,
        "title": build.scene.title,
        "display": display,
        "configuration": build.result.configuration.name,
        "grade": build.outlook.grade,
        "carries": list(build.carries),
        "keeps": all(plan.keeps for plan in plans),
        "bearings": [_plan_json(plan, display) for plan in plans],
        "files": [str(path)],
    }


def _plan_json(plan: DrillingPlan, display: DisplayName) -> dict[str, Any]:
    """Return what the template of one bearing comes to, for machines."""
    length = display_of(display).length
    return {
        "bearing": plan.number,
        "guide": plan.guide.name,
        "source": plan.guide.source,
        "standing": plan.guide.standing,
        "keeps": plan.keeps,
        "other_guides": dict(plan.others),
        "station": amount_json(plan.middle, length),
        "hook": None if plan.hook is None else f"{plan.hook.face} face of {plan.hook.name}",
        "holes": [_hole_json(one, hole, display) for one in plan.rails for hole in one.holes],
        "near": [
            {
                "rail": one.rail.side,
                "name": thing.name,
                "apart": amount_json(thing.apart, length),
                "holes": [hole_name(one, number) for number in thing.holes],
            }
            for one in plan.rails
            for thing in one.behind
        ],
        "moves": [
            move_lines(plan, move, display)
            for move in (plan.move, plan.onto_old)
            if move is not None
        ],
    }


def _hole_json(one: RailPlan, hole: Drilled, display: DisplayName) -> dict[str, Any]:
    """Return one hole for machines."""
    length = display_of(display).length
    return {
        "name": hole_name(one, hole.number),
        "aft": amount_json(hole.aft, length),
        "above_bottom_edge": amount_json(hole.up, length),
        "uses": hole.uses,
        "breaks": [check.asked for check in hole.broken],
    }

"""``halfturn blank``: the measuring sheet that is taken to a new vehicle."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from sim.commands.common import add_out, sentence

if TYPE_CHECKING:
    from sim.display import DisplayName


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    said = "measuring sheet for a new vehicle, on paper (PDF)"
    parser = commands.add_parser("blank", help=said, description=sentence(said))
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="default: a4")
    parser.add_argument("--inch", action="store_true", help="boxes in inches, pounds, mph")
    parser.add_argument(
        "--suspension",
        metavar="KIND",
        choices=("leaf", "links", "frame mounted", "measured"),
        default="leaf",
        help='what guides the axle: leaf (default), links, "frame mounted" or measured',
    )
    add_out(parser)
    parser.set_defaults(command=_blank)


def _blank(options: argparse.Namespace) -> int:
    from sim.show.paper.blank import write_blank

    display: DisplayName = "inch" if options.inch else "metric"
    name = f"measuring-sheet-{options.suspension.replace(' ', '-')}.pdf"
    path = write_blank(options.out / name, options.suspension, display, options.paper)
    print(f"Wrote {path}.  Next, back from the vehicle: halfturn new my_truck.toml")
    return 0

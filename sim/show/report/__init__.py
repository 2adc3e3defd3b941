"""The report: one HTML file that opens anywhere, offline, on a phone, and prints well."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from sim import __version__
from sim.display import display_of
from sim.scene.parts import Scene
from sim.show import style
from sim.show.files import write_text
from sim.show.outlook import outlook_of
from sim.show.report.agreement import CONFIRMED, agreement_table
from sim.show.report.cautions import CAUTIONS
from sim.show.report.chapters import chapter_of, glance
from sim.show.report.exchange import exchange_of
from sim.show.report.pages import Exchange, Film
from sim.show.report.pictures import data_address, embedded
from sim.show.report.shake import ShakePage
from sim.show.result import Result
from sim.show.which import which_to_build

if TYPE_CHECKING:  # which takes numbers from this package
    from sim.show.answer import Answer

__all__ = ["report"]


def report(
    scene: Scene,
    results: Sequence[Result],
    folder: Path,
    *,
    answer: Answer | None = None,
    comparison: Sequence[Path] = (),
    film: Path | None = None,
    poster: Path | None = None,
    shake: ShakePage | None = None,
    troubles: Sequence[str] = (),
) -> Path:
    """Write ``report.html``: verdicts, pictures, numbers and sources, agreement, cautions.

    Args:
        scene: The scene.
        results: One a configuration, in the order of the scene.
        folder: Where it belongs, as in outputs/<scene>.
        answer: What to build, which stands first; None where there is none.
        comparison: Pictures that show all configurations.
        film: The film; it stays a file of its own in the folder of the report.
        poster: A still of it, which is embedded.
        shake: The chapter on shake over road speed; None where nothing was shaken.
        troubles: What could not be done, a sentence each.

    Returns:
        The file written.
    """
    from sim.show.answer_lines import hang_lines, length_line  # they take numbers from here
    from sim.show.paper.answer_view import side_view_svg, side_view_words

    display = display_of(scene.display)
    page = _environment().get_template("report.html")
    text = page.render(
        scene=scene,
        rule_set=results[0].findings.rule_set,
        answer=answer,
        lengths=length_line(answer) if answer else "",
        hangs=tuple(hang_lines(answer)) if answer else (),
        view_words=side_view_words(answer) if answer else "",
        view=Markup(side_view_svg(answer)) if answer and answer.sound else "",
        sentence=_sentence(scene, results),
        glance=glance(results, display),
        chapters=tuple(chapter_of(result, display) for result in results),
        exchange=_exchange(scene, results),
        comparison=embedded(comparison),
        film=_film(film, poster),
        shake=shake,
        confirmed=CONFIRMED,
        agreement=agreement_table(results, display),
        cautions=CAUTIONS,
        troubles=tuple(troubles),
        version=__version__,
    )
    return write_text(folder / "report.html", text)


def _environment() -> Environment:
    """Return the templates, with everything that a user wrote escaped."""
    environment = Environment(
        loader=PackageLoader("sim.show.report", "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    css = files("sim.show.report").joinpath("report.css").read_text(encoding="utf-8")
    environment.globals["css"] = Markup(css)
    environment.globals["style"] = style
    return environment


def _sentence(scene: Scene, results: Sequence[Result]) -> str:
    """Return which configuration to build, or "" where there is only one."""
    outlooks = [outlook_of(result, scene.display) for result in results]
    return which_to_build(outlooks) if len(outlooks) > 1 else ""


def _exchange(scene: Scene, results: Sequence[Result]) -> Exchange | None:
    """Return what the compared pair buys and costs, where both were run."""
    found = {result.configuration.name: result.measurements for result in results}
    first, second = scene.compared
    if first == second or first not in found or second not in found:
        return None
    return exchange_of(found[first], found[second], display_of(scene.display))


def _film(film: Path | None, poster: Path | None) -> Film | None:
    """Return the film by its bare name, with its still inside the page."""
    if poster is None:
        return None
    return Film(film.name if film is not None else "", data_address(poster))

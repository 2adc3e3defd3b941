"""Plots as SVG: smaller files that show the same, text that stays text, parts of one page."""

from __future__ import annotations

import re
from io import StringIO
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib import rc_context
from matplotlib.figure import Figure
from matplotlib.patches import Circle

from sim.show.plots.svg import inlined, tidied
from sim.show.style import plot_settings

NUMBER = re.compile(r"-?\d+\.?\d*")
WORDS = "Gap  0.123456 mm, 5 < 7 & “loaded” −3.0°"


def figure(words: str = WORDS) -> str:
    """Return a figure as matplotlib writes it: lines, a curve, a hatch, markers, turned words."""
    with rc_context(plot_settings()):
        drawn = Figure(figsize=(4, 3))
        axes = drawn.subplots()
        x = np.linspace(0, np.pi, 40)
        axes.plot(x, np.sin(7 * x), marker="o", markevery=9)
        axes.fill_between(x, 0, np.cos(x), hatch="//", alpha=0.3)
        axes.add_patch(Circle((1, 0), 0.3))
        axes.set_ylabel(words)
        axes.set_title(words)
        out = StringIO()
        drawn.savefig(out, format="svg", metadata={"Date": None})
    return out.getvalue()


def elements(svg: str) -> list[ElementTree.Element]:
    """Return what draws something, in its order."""
    every = ElementTree.fromstring(svg).iter()
    return [one for one in every if one.tag.rpartition("}")[2] in ("path", "text", "use", "rect")]


def numbers(text: str | None) -> list[float]:
    return [float(number) for number in NUMBER.findall(text or "")]


def test_every_place_is_the_same_to_a_tenth_of_a_point() -> None:
    whole = figure()
    before, after = elements(whole), elements(tidied(whole))
    assert [one.tag for one in before] == [one.tag for one in after]
    for one, other in zip(before, after, strict=True):
        for key in ("d", "x", "y"):
            places, shown = numbers(one.get(key)), numbers(other.get(key))
            assert shown == pytest.approx(places, abs=0.0501)
            small = [(a, b) for a, b in zip(places, shown, strict=True) if abs(a) < 9.9]
            assert all(abs(a - b) <= 0.00501 for a, b in small)
        letters = re.sub(r"[^A-Z]", "", other.get("d") or "")
        assert set(letters) <= set(re.sub(r"[^A-Z]", "", one.get("d") or ""))
        turned = [turn for turn in (one.get("transform"),) if turn and "rotate(-0 " not in turn]
        assert numbers("".join(turned)) == pytest.approx(
            numbers(other.get("transform")), abs=0.0501
        )
        style = (one.get("style") or "").replace("'DejaVu Sans'", "")
        assert (other.get("style") or "").replace("'DejaVu Sans', Verdana, sans-serif", "") == style


def test_a_path_of_curves_keeps_every_letter() -> None:
    whole = figure()
    curves = [one.get("d") or "" for one in elements(whole) if "C" in (one.get("d") or "")]
    kept = [one.get("d") or "" for one in elements(tidied(whole)) if "C" in (one.get("d") or "")]
    assert curves
    letters = [re.sub(r"[^A-Za-z]", "", path) for path in curves]
    assert [re.sub(r"[^A-Za-z]", "", path) for path in kept] == letters


def test_text_stays_text_letter_by_letter_and_the_file_is_smaller() -> None:
    whole = figure()
    small = tidied(whole)
    texts = [one.text for one in elements(small) if one.tag.endswith("text")]
    assert texts.count(WORDS) == 2
    assert texts == [one.text for one in elements(whole) if one.tag.endswith("text")]
    assert len(small) < 0.8 * len(whole)
    assert "Verdana" in small
    assert re.search(r"<style[^>]*>[^<]* text\{white-space: pre\}</style>", small)
    assert "metadata" not in small


def test_only_names_that_are_used_are_left_and_all_that_are_used() -> None:
    small = tidied(figure())
    used = set(re.findall(r'(?:href="#|url\(#)([^")]+)', small))
    assert used
    assert set(re.findall(r' id="([^"]*)"', small)) == used


def test_two_pictures_on_a_page_share_no_name_and_say_what_they_show() -> None:
    small = tidied(figure())
    parts = [inlined(small, name, "Gap <1 & “2”") for name in ("a", "b")]
    owned = [set(re.findall(r' id="([^"]*)"', part)) for part in parts]
    assert not owned[0] & owned[1]
    for part, own in zip(parts, owned, strict=True):
        assert set(re.findall(r'(?:href="#|url\(#)([^")]+)', part)) == own
        root = ElementTree.fromstring(part)
        assert root.get("aria-label") == "Gap <1 & “2”"
        assert root.get("role") == "img"
        assert root.get("width") is root.get("height") is None
        assert root.get("viewBox") == ElementTree.fromstring(small).get("viewBox")
        assert part.startswith("<svg ")

"""Every guide for holes in a rail once more, beside its source."""

from __future__ import annotations

from typing import Any

import pytest

from sim.errors import DomainError
from sim.judge.drilling import guide_named, guides, words

# name: source and its words; values [m], [-]; what is not listed, the source does not give
GUIDES: dict[str, tuple[str, str, dict[str, Any]]] = {
    # Ford layout book 2022, quoted on an owners' board: 38 mm from hole edge to inside of flange;
    # 25 mm edge to edge up to 16 mm diameter, else 1.5 diameters; 19 mm largest; 3 in one vertical
    # line; 13 mm from reinforcement; crossmembers not recommended; grade 8 / 10.9, flat washers.
    "light truck": (
        "Ford body builders layout book 2022",
        "second-hand",
        {
            "edge": 0.038,
            "edge_from": "hole edge",
            "edge_to": "inside of the flange",
            "pitch": 0.025,
            "pitch_between": "hole edges",
            "pitch_up_to": 0.016,
            "pitch_beyond": 1.5,
            "largest": 0.019,
            "in_line": 3,
        },
    ),
    # GM C6500 2000, Frame service precautions: 13 mm apart; 4 in one vertical line.
    "medium truck": (
        "GM C6500 2000, Frame service precautions",
        "published",
        {"pitch": 0.013, "pitch_between": "hole edges", "in_line": 4},
    ),
    # Unimog U500 2005 p. 276: dimension a at least 62 mm; 50 mm (text reads "less than"); 15 mm.
    "heavy all-wheel drive": (
        "Unimog U500 mounting guideline 2005, p. 276",
        "published",
        {
            "edge": 0.062,
            "edge_from": "hole center",
            "edge_to": "edge of the rail",
            "pitch": 0.050,
            "pitch_between": "hole centers",
            "largest": 0.015,
        },
    ),
    # Iveco Eurocargo 2013 p. 8: axis 40 mm from rail edge (39 on a 6.7 mm rail); axes 45 mm, also
    # to old holes, staggered; 15 mm.
    "chassis conversion": (
        "Iveco Eurocargo 2013, p. 8",
        "published",
        {
            "edge": 0.040,
            "edge_from": "hole center",
            "edge_to": "edge of the rail",
            "pitch": 0.045,
            "pitch_between": "hole centers",
            "largest": 0.015,
        },
    ),
    # Australian VSB6 section H as summed up by a certifier 2014: bolt + 1.0 mm; edge and pitch by
    # diameter, the table was cut off.
    "national code": ("VSB6 section H", "second-hand", {"over_bolt": 0.001}),
}
VALUES = ("edge", "pitch", "pitch_up_to", "pitch_beyond", "largest", "over_bolt", "in_line")
SAID = [
    ("light truck", "keep_off", "13 mm from a reinforcement"),
    ("light truck", "keep_off", "flanges, never"),
    ("light truck", "fasteners", "grade 8 or class 10.9 with flat washers"),
    ("medium truck", "keep_off", "twice its thickness from the edge of a reinforcement"),
    ("medium truck", "practice", "no torch"),
    ("heavy all-wheel drive", "keep_off", "kick-ups, load points and reinforcements"),
    ("heavy all-wheel drive", "unsure", "less than"),
    ("chassis conversion", "keep_off", "spring supports and changes of the section"),
    ("chassis conversion", "practice", "staggered"),
    ("chassis conversion", "unsure", "39 mm"),
    ("chassis conversion", "fasteners", "class 8.8 for crossbars and brackets, 10.9"),
    ("national code", "practice", "drilled only, never elongated"),
    ("national code", "unsure", "no value here"),
]
WORDS = {
    "backing plate": ("5 mm thick", "published", "Iveco"),
    "torque on the nut": ("turn the nut, not the bolt", "published", "Hino US"),
    "near a crossmember": ("within 200 mm of a crossmember", "published", "UD 2000 p. 60"),
    "sleeve": ("box rail needs a sleeve", "common practice", "no source"),
}


def test_every_guide_has_its_source_and_values() -> None:
    assert [guide.name for guide in guides()] == list(GUIDES)
    for guide in guides():
        source, standing, values = GUIDES[guide.name]
        assert source in guide.source
        assert guide.standing == standing
        for key in VALUES:
            assert getattr(guide, key) == pytest.approx(values.get(key)), (guide.name, key)
        for key in ("edge_from", "edge_to", "pitch_between"):
            assert key not in values or getattr(guide, key) == values[key], (guide.name, key)


@pytest.mark.parametrize(("name", "key", "text"), SAID)
def test_what_a_guide_says_in_words(name: str, key: str, text: str) -> None:
    assert text in getattr(guide_named(name), key)


def test_what_is_said_beside_the_guides() -> None:
    found = {word.name: word for word in words()}
    assert found.keys() == WORDS.keys()
    for name, (text, standing, source) in WORDS.items():
        assert text in found[name].says
        assert found[name].standing == standing
        assert source in found[name].source


def test_a_guide_that_is_not_there() -> None:
    with pytest.raises(DomainError, match='no drilling guide "trucks"; there are: light truck, m'):
        guide_named("trucks")

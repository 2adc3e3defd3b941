"""Stock lists of tubes: the one that comes along, a shop's own, and bad ones refused."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from sim.errors import SceneError
from sim.explore.choose_stock import read_stock

HEAD = 'format = "halfturn stock 1"\n'


def test_the_list_that_comes_along() -> None:
    tubes = {(round(one.tube.outside * 1e3, 1), round(one.tube.wall * 1e3, 2)): one for one in
             read_stock()}  # fmt: skip
    # Iveco Eurocargo, guide for body builders, 2013, p. 40: 90x3, 100x3, 120x3, 120x4 mm
    published = [(90.0, 3.0), (100.0, 3.0), (120.0, 3.0), (120.0, 4.0)]
    assert all("Eurocargo" in tubes[size].source for size in published)
    assert all("from memory" in one.source for size, one in tubes.items() if size not in published)
    # from memory: 3 x 0.083 in and 4 x 0.134 in
    assert {(76.2, 2.11), (101.6, 3.4)} <= tubes.keys()


def test_a_shops_own_list_the_lightest_first(tmp_path: Path) -> None:
    file = tmp_path / "ours.toml"
    row = 'outside = "{}"\nwall = "{}"\nsource = "our shelf"\n'
    thick = '[tube.thick]\nyield_stress = "414 MPa"\n' + row.format("100 mm", "4 mm")
    file.write_text(HEAD + thick + '[tube."3 in"]\n' + row.format("3 in", "0.083 in"))
    light, heavy = read_stock(file)
    assert (light.name, heavy.name) == ("3 in", "thick")
    assert light.tube.yield_stress is None
    assert heavy.tube.yield_stress == pytest.approx(414e6)
    # area times 7850 kg/m3, the density of steel (any handbook)
    assert heavy.weight == pytest.approx(math.pi / 4 * (0.1**2 - 0.092**2) * 7850, rel=0.01)


BAD = [
    ("", r"bad\.toml: no format; write format"),
    ('format = "halfturn scene 1"\n[tube.a]\n', r"bad\.toml:1: format is .*; write format"),
    (HEAD, "no tube: name at least one"),
    (HEAD + "tube = 3\n", "no tube"),
    (HEAD + '[pipe.a]\noutside = "3 in"\n', r"bad\.toml:2: pipe is not known here; allowed: tube"),
    (HEAD + '[tube.a]\noutside = "3 in"\n', r'bad\.toml:2: tube "a": wall is missing'),
    (HEAD + '[tube.a]\noutside = "3 miles"\n', r'bad\.toml:3: tube "a", outside is "3 miles"'),
    (HEAD + '[tube.a]\nmaterial = "lead"\n', r'bad\.toml:3: tube "a", material is "lead"; allowed'),
    (HEAD + '[tube.a]\nbore = "3 in"\n', r'bad\.toml:3: tube "a", bore is not a known key'),
    (HEAD + '[tube.a]\noutside = "30 mm"\nwall = "15 mm"\nsource = "x"\n', "must be below 15 mm"),
    (HEAD + '[tube."a/b"]\noutside = "3 in"\n', 'tube "a/b": a name has at most 40'),
    (HEAD + "tube.a = 3\n", r"bad\.toml:2: .*tube"),
    (HEAD + "[tube.a\n", r"bad\.toml:2: "),
]


@pytest.mark.parametrize(("text", "said"), BAD, ids=range(len(BAD)))
def test_a_bad_list_is_refused(tmp_path: Path, text: str, said: str) -> None:
    file = tmp_path / "bad.toml"
    file.write_text(text)
    with pytest.raises(SceneError, match=said):
        read_stock(file)


def test_no_list_at_all(tmp_path: Path) -> None:
    with pytest.raises(SceneError, match=r"none\.toml: cannot be read"):
        read_stock(tmp_path / "none.toml")

"""Properties of the reader: no text breaks it, every refusal is a line that a person can read."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sim.errors import SceneError
from sim.scene.parts import Scene
from sim.scene.reader import read_scene

SCENES = Path(__file__).parent.parent / "scenes"
GOOD = [path.read_text("utf-8") for path in sorted(SCENES.glob("*.toml"))]
ODD = [
    *("=", '"', "[", "]", "{", "}", ".", "±", "-", "#", "\t", " ", "'", '"""', "1", "0", "\x7f"),
    *("\\u0000", "nan", "inf", "true", "1e400", "9" * 300, "like", "½", "−", "\r", "[[a]]", "../"),
    *("0x" + "f" * 200, "\ufeff", "\u202e", "<b>", "1979-05-27", "a.b.c.d.e.f.g.h.i", "{}", '""'),
    *('"1 mm"', '"-1 mm"', '"0 mm"', '"2 m"', '"45 deg"', '"shaft"', "same_shafts_as", "length"),
]


@st.composite
def mutated(draw: st.DrawFn) -> bytes:
    """Return a good scene with a few lines lost, doubled, swapped or bent."""
    rows = draw(st.sampled_from(GOOD)).split("\n")
    for _ in range(draw(st.integers(1, 6))):
        i = draw(st.integers(0, len(rows) - 1))
        k = draw(st.integers(0, len(rows[i])))
        what = draw(st.integers(0, 6))
        if what == 0:
            del rows[i]
        elif what == 1:
            rows.insert(draw(st.integers(0, len(rows))), rows[i])
        elif what == 2:
            j = draw(st.integers(0, len(rows) - 1))
            rows[i], rows[j] = rows[j], rows[i]
        elif what == 3:
            rows[i] = rows[i][:k] + draw(st.sampled_from(ODD)) + rows[i][k:]
        elif what == 4:
            rows[i] = rows[i][:k] + rows[i][k + 1 :]
        elif what == 5:
            rows[i] = f"{rows[i].split('=')[0]}= {draw(st.sampled_from(ODD))}"
        else:
            rows[i] = rows[i][:k] + draw(st.text(max_size=5)) + rows[i][k:]
    return "\n".join(rows).encode("utf-8", "surrogatepass")


def loads_or_explains(raw: bytes) -> None:
    """Assert that bytes are read as a scene, or refused in readable lines."""
    try:
        scene = read_scene(raw)
    except SceneError as error:
        said = str(error)
        assert said
        for line in said.split("\n"):
            assert line.startswith("scene.toml:")
            assert line.isprintable()
            assert len(line) < 600
            assert "sim.scene" not in line
            assert not line.endswith((": ", "; "))
    else:
        assert isinstance(scene, Scene)
        for configuration in scene.configurations:
            assert all(map(math.isfinite, configuration.design.values.values()))
            assert all(math.isfinite(shaft.mass) for shaft in configuration.shafts)
        tomllib.loads(raw.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n"))


calm = settings(deadline=None, suppress_health_check=list(HealthCheck))


@settings(calm, max_examples=200)
@given(mutated())
def test_a_bent_scene_loads_or_is_refused_in_words(raw: bytes) -> None:
    loads_or_explains(raw)


@pytest.mark.slow
@settings(calm, max_examples=5000)
@given(mutated())
def test_thousands_of_bent_scenes_load_or_are_refused_in_words(raw: bytes) -> None:
    loads_or_explains(raw)


@settings(calm, max_examples=200)
@given(st.binary(max_size=300))
def test_bytes_that_are_no_scene_are_refused_in_words(raw: bytes) -> None:
    loads_or_explains(raw)


@pytest.mark.parametrize(
    "raw",
    [
        b"".join(b'k%d = "1 mm"\n' % i for i in range(4900)),
        b"".join(b"[t%d]\n" % i for i in range(4900)),
        GOOD[-1].encode()
        + b"".join(
            b'\n[configuration.c%d]\nlike = "two-piece"\nxyzzy = "1"\n' % i for i in range(45)
        ),
        b"".join(b'[configuration.c%d]\nlike="c%d"\n' % (i, i + 1) for i in range(49)),
        (b".".join([b"a"] * 400) + b' = "1"\n') * 600,
        b"x = " + b"[" * 900 + b"\n",
        b"x = " + b"{a=" * 300 + b"\n",
        b'x = "' + b"1" * 900 + b'"\n',
    ],
    ids=range(8),
)
def test_a_hostile_file_is_refused(raw: bytes) -> None:
    with pytest.raises(SceneError):
        read_scene(raw)

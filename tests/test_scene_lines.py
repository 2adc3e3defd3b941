from __future__ import annotations

import tomllib

import pytest
from scene_lines import with_lines

TEXT = """\
[pinion]
slope = "3 deg"
nose_up = "1.5 deg"  # a wedge

[configuration.a]
shaft.1.tube = { outside = "76.2 mm", wall = "2.1 mm" }
spline = { at = "shaft", gap = "40 mm" }

[configuration.a.bearing.1]
left = "2 mm"
up = "531 ± 3 mm"                     # as hung

[configuration.b]
like = "a"
bearing.1.up = "521 ± 3 mm"
"""


def read(text: str, configuration: str) -> dict[str, object]:
    table: dict[str, object] = tomllib.loads(text)["configuration"][configuration]
    return table


@pytest.mark.parametrize(
    ("configuration", "line", "table", "then"),
    [
        ("a", 'bearing.1.up = "534 mm"', ("bearing", "1"), {"left": "2 mm", "up": "534 mm"}),
        ("b", 'bearing.1.up = "534 mm"', ("bearing", "1"), {"up": "534 mm"}),
        ("a", 'bearing.1.right = "3 mm"', ("bearing", "1"), {"right": "3 mm", "up": "531 ± 3 mm"}),
        ("b", 'bearing.1.left = "3 mm"', ("bearing", "1"), {"up": "521 ± 3 mm", "left": "3 mm"}),
        ("a", 'spline.gap = "45 mm"', ("spline",), {"at": "shaft", "gap": "45 mm"}),
        ("b", 'spline.gap = "45 mm"', ("spline",), {"gap": "45 mm"}),
        (
            "a",
            'spline.engaged = "45 mm"',
            ("spline",),
            {"at": "shaft", "gap": "40 mm", "engaged": "45 mm"},
        ),
        (
            "a",
            'shaft.1.tube.outside = "88.9 mm"',
            ("shaft", "1", "tube"),
            {"outside": "88.9 mm", "wall": "2.1 mm"},
        ),
        ("b", 'pinion.nose_down = "1 deg"', ("pinion",), {"nose_down": "1 deg"}),
        ("a", 'pinion.nose_down = "1 deg"', ("pinion",), {"nose_down": "1 deg"}),
    ],
)
def test_a_line_is_written_under_its_configuration_and_nothing_else_changes(
    configuration: str, line: str, table: tuple[str, ...], then: dict[str, str]
) -> None:
    changed = with_lines(TEXT, configuration, [line])
    here: object = read(changed, configuration)
    for key in table:
        assert isinstance(here, dict)
        here = here[key]
    assert here == then
    other = "b" if configuration == "a" else "a"
    assert read(changed, other) == read(TEXT, other)
    assert tomllib.loads(changed)["pinion"] == tomllib.loads(TEXT)["pinion"]


def test_a_line_that_stands_in_the_file_leaves_its_comment() -> None:
    assert 'up = "534 mm"                     # as hung' in with_lines(
        TEXT, "a", ['bearing.1.up = "534 mm"']
    )

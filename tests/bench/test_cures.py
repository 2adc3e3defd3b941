"""250 random vehicles: no printed cure fails by its own words.  Takes many minutes.

Every fifth vehicle is sound; the others were put together with one or two mistakes.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from advice import asked, carry_out, findings_of
from random_vehicles import random_scene

SEEDS = range(1000, 1250)
Note = Callable[..., None]


@pytest.mark.parametrize("first", SEEDS[::10])
def test_every_cure_of_random_vehicles_holds(first: int, note: Note) -> None:
    targets = cured = 0
    for seed in range(first, first + 10):
        text = random_scene(seed)
        before = findings_of(text, "only", cures=True)
        targets += len(asked(before))
        for one in carry_out(text, "only", before):
            cured += 1
            said = f"{one.before.rule}, {one.before.where}: {one.cure.says}"
            assert one.holds, f"seed {seed}: {said} {one.now}, {one.worse}"
    note(f"cures of seeds {first} to {first + 9}", cured, "findings", f"of {targets} that asked")

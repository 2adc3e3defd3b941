"""What belongs to a layout besides its shafts: wedge, traction bar, where a bearing is set."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.display import DEGREES, DisplayName, on_tape
from sim.explore.cures_changes import signed
from sim.explore.place_space import setting_at, space_of
from sim.measure.measurements import Measurements
from sim.scene.parts import Configuration
from sim.units import WIND_UP, say, spell

SAME = 5e-4  # what no tape tells apart [m]


def fitted(m: Measurements, display: DisplayName) -> Iterator[str]:
    """Yield what else belongs to the layout, and changes every angle if it is left out.

    Args:
        m: What was measured.
        display: Units shown.

    Yields:
        As in "Wedge at the pinion: 1.5 deg nose up; its slope to the frame is then 4.5 deg."
    """
    configuration = m.configuration
    assert configuration.design is not None
    if configuration.cut_as is not None:
        yield f"The shafts are cut already, as for {configuration.cut_as.name}: nothing to order."
    turn = signed(configuration.design, "pinion.nose_up")
    if turn:
        what = "Shim at the final drive" if configuration.on_frame else "Wedge at the pinion"
        way = "up" if turn > 0 else "down"
        slope = DEGREES.say(configuration.pinion.slope, digits=1)
        by = DEGREES.say(abs(turn), digits=1)
        yield f"{what}: {by} nose {way}; its slope to the frame is then {slope}."
    off = configuration.spline.off_by
    if off:
        yield f"Spline as checked: {DEGREES.say(abs(off), digits=1)} off its index marks."
    bar = configuration.design.values.get("suspension.wrap_control")
    if bar:
        unit = WIND_UP.metric if display == "metric" else WIND_UP.inch
        yield f"Traction bar of {say(WIND_UP, float(bar), unit)} {spell(unit)}."


def hole_words(configuration: Configuration, number: int, display: DisplayName) -> str:
    """Return in which holes of its brace a bearing is set, with which shims.

    Args:
        configuration: The configuration.
        number: Of the bearing, from 1.
        display: Units shown.

    Returns:
        As in "Bearing 1: hole row 4 from below, shims 2 mm and 5 mm", with how far that is off
        where it is; "" for a brace without holes of its own [text].
    """
    point = np.asarray(configuration.bearings[number - 1].point, float)
    set_at = setting_at(space_of(configuration, number), point)
    if set_at is None:
        return ""
    setting, off = set_at
    along = [] if setting.hole is None else [f"hole {setting.hole} from the front"]
    if setting.row is None:
        return f"Bearing {number}: {along[0]}."
    shims = " and ".join(on_tape(shim, display) for shim in setting.shims)
    rows = [f"hole row {setting.row} from below", f"shims {shims}" if shims else "no shims"]
    said = f"Bearing {number}: {', '.join([*along, *rows])}"
    if abs(off) >= SAME:
        way = "higher" if off > 0 else "lower"
        said += f"; that is {on_tape(abs(off), display)} {way} than designed"
    return f"{said}."

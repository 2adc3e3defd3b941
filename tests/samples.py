"""Configurations made by hand for tests: invented vehicles, no source, never evidence.

Every function takes changed fields: ``two_piece(bearings=(...,))``.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from sim.scene.parts import (
    Bearing,
    Configuration,
    End,
    FrameMounted,
    Height,
    Joint,
    JointKind,
    LeafSprings,
    Limits,
    Links,
    Shaft,
    Spline,
    SplinePlace,
    TorqueCase,
    Travel,
    Tube,
    Vehicle,
)

MM = 1e-3
DEG = np.pi / 180
KMH = 1 / 3.6
RPM = 2 * np.pi / 60

LIMITS = Limits(gap=6 * MM, clearance=10 * MM, ground=None, safe_share=0.70)
CASES = tuple(TorqueCase(name=n) for n in ("no torque", "cruise", "hard launch", "engine braking"))


def place(aft: float, right: float, up: float) -> np.ndarray:
    """Return a point [m] from millimeters."""
    return np.array([aft, right, up]) * MM


def shaft(outside: float, wall: float = 2.1, phase: float = 0.0, mass: float = 12.0) -> Shaft:
    """Return a steel shaft from millimeters and degrees."""
    tube = Tube(outside=outside * MM, wall=wall * MM, material="steel")
    return Shaft(tube=tube, phase=phase * DEG, mass=mass, length=None)


def joint(kind: JointKind = "universal", swing: float = 60.0) -> Joint:
    """Return a joint that sweeps a radius given in millimeters."""
    largest = {"universal": 20, "double cardan": 25, "constant velocity": 18, "flexible": 3}[kind]
    return Joint(
        kind=kind,
        between_crosses=75 * MM if kind == "double cardan" else 0.0,
        largest_angle=largest * DEG,
        swing_radius=swing * MM,
        rated_torque=None,
    )


def bearing(aft: float, right: float, up: float, to_joint: float) -> Bearing:
    """Return a center bearing from millimeters."""
    return Bearing(
        point=place(aft, right, up), to_joint=to_joint * MM, skew=0.0, radial=8e4, axial=3e4
    )


def rigid(configuration: Configuration) -> Configuration:
    """Return a configuration whose bearings do not give way sideways."""
    bearings = tuple(replace(b, radial=1e18) for b in configuration.bearings)
    return replace(configuration, bearings=bearings)


def spline(at: SplinePlace, gap: float, engaged: float, least: float, teeth: int | None) -> Spline:
    """Return a spline from millimeters."""
    return Spline(
        at=at,
        gap=gap * MM,
        engaged=engaged * MM,
        shorter=None,
        least_engaged=least * MM,
        teeth=teeth,
        off_by=0.0,
    )


def pinion_from_axle(
    axle: np.ndarray, length: float, drop: float, right: float, slope: float
) -> End:
    """Return the pinion end from its length, hypoid drop and offset [mm] and its slope [deg]."""
    s = slope * DEG
    offset = place(
        -length * np.cos(s) - drop * np.sin(s), right, length * np.sin(s) - drop * np.cos(s)
    )
    return End(point=axle + offset, slope=s, plan=0.0)


TRUCK = Vehicle(
    axle_ratio=4.1,
    tire_radius=0.395,
    tire_circumference=2.545,
    top_speed=155 * KMH,
    axle_load=14200.0,
    unsprung_share=0.15,
    engine_torque=610.0,
    engine_cut_off=5600 * RPM,
    first_gear=4.17,
    top_gear=0.69,
    low_range=2.64,
    converter=1.9,
    tire_grip=0.9,
    load_transfer=0.2,
    track=1.7,
)
TRUCK_SPRINGS = LeafSprings(
    front_eye=place(3370, 0, 500),
    shackle_pivot=place(4758, 0, 592),
    shackle=0.115,
    shackle_kind="hanging",
    front_half=0.620,
    rear_half=0.790,
    seat_height=0.095,
    rate=48e3,
    load=6000.0,
    arm_fraction=0.75,
    half_rates=(790 / 620) ** 3,
    spacing=1.0,
    wind_up=None,
    wrap_control=0.0,
)
TRUCK_TRAVEL = Travel(
    droop=0.110,
    bump=0.095,
    parked_low=None,
    roll=3 * DEG,
    heights=(Height(name="loaded", left=0.045, right=0.045),),
)


def one_piece(**changes: Any) -> Configuration:
    """Return the orchard service truck as it came: one shaft, slip yoke on the output."""
    axle = place(3990, 0, 395)
    made = Configuration(
        name="one-piece",
        about="as it came",
        differences=(),
        vehicle=TRUCK,
        output=End(point=place(1745, 0, 568), slope=3 * DEG, plan=0.0),
        pinion=pinion_from_axle(axle, 345, 35, 20, 3.0),
        axle=axle,
        suspension=TRUCK_SPRINGS,
        travel=TRUCK_TRAVEL,
        torque_cases=CASES,
        full_travel_speed=50 * KMH,
        obstacles=(),
        limits=LIMITS,
        series=None,
        shafts=(shaft(101.6, mass=16.0),),
        bearings=(),
        joints=(joint(), joint()),
        spline=spline("output", 40, 70, 45, 32),
        output_spline=None,
        cut_as=None,
        readings={},
    )
    return replace(made, **changes)


def two_piece(**changes: Any) -> Configuration:
    """Return the orchard service truck on two pieces, the front joint straight."""
    made = replace(
        one_piece(),
        name="two-piece",
        about="bearing hung so that the front joint is straight",
        differences=("two shafts and a center bearing",),
        shafts=(shaft(88.9), shaft(88.9)),
        bearings=(bearing(2395, 0, 531, 115),),
        joints=(joint(), joint(), joint()),
        spline=spline("midship", 45, 85, 60, 16),
    )
    return replace(made, **changes)


def three_piece(**changes: Any) -> Configuration:
    """Return a long chassis on three pieces, yokes out of line on two of them."""
    axle = place(5600, 0, 420)
    springs = replace(
        TRUCK_SPRINGS,
        front_eye=place(4950, 0, 540),
        shackle_pivot=place(6345, 0, 640),
        shackle=0.120,
        front_half=0.650,
        rear_half=0.780,
        seat_height=0.110,
        half_rates=(780 / 650) ** 3,
        rate=60e3,
        load=7000.0,
    )
    made = replace(
        one_piece(),
        name="three-piece",
        about="long chassis, two bearings",
        output=End(point=place(1800, 0, 640), slope=3 * DEG, plan=0.0),
        pinion=pinion_from_axle(axle, 350, 38, 25, 4.0),
        axle=axle,
        suspension=springs,
        shafts=(shaft(88.9), shaft(88.9, phase=10.0), shaft(88.9, phase=-5.0)),
        bearings=(bearing(2900, 4, 580, 110), bearing(4050, 8, 510, 120)),
        joints=tuple(joint() for _ in range(4)),
        spline=spline("midship", 50, 90, 60, 16),
    )
    return replace(made, **changes)


def car(**changes: Any) -> Configuration:
    """Return the courier estate car: final drive on the frame, spline inside the rear shaft."""
    vehicle = replace(
        TRUCK,
        axle_ratio=3.23,
        tire_radius=0.345,
        tire_circumference=2.150,
        top_speed=225 * KMH,
        axle_load=10500.0,
        engine_torque=450.0,
        engine_cut_off=6200 * RPM,
        first_gear=4.71,
        top_gear=0.67,
        low_range=1.0,
        converter=1.7,
        tire_grip=1.0,
        load_transfer=0.1,
        track=1.55,
    )
    made = Configuration(
        name="two-piece",
        about="courier estate car",
        differences=(),
        vehicle=vehicle,
        output=End(point=place(1600, 0, 470), slope=2 * DEG, plan=0.0),
        pinion=End(point=place(2905, 0, 414), slope=2.2 * DEG, plan=0.0),
        axle=place(3250, 0, 365),
        suspension=FrameMounted(mount=place(3120, 0, 420), wind_up=3000 / DEG),
        travel=Travel(droop=0.080, bump=0.080, parked_low=None, roll=0.0),
        torque_cases=CASES,
        full_travel_speed=50 * KMH,
        obstacles=(),
        limits=LIMITS,
        series=None,
        shafts=(shaft(63.5, 2.0, mass=8.0), shaft(63.5, 2.0, mass=8.0)),
        bearings=(bearing(2180, 0, 448, 100),),
        joints=(joint(swing=45), joint(swing=45), joint(swing=45)),
        spline=spline("shaft", 15, 45, 30, None),
        output_spline=None,
        cut_as=None,
        readings={},
    )
    return replace(made, **changes)


def links_van(**changes: Any) -> Configuration:
    """Return a lowered street van on side-view links with air springs, one shaft."""
    axle = place(3300, 0, 330)
    vehicle = replace(
        TRUCK, axle_ratio=3.73, tire_radius=0.330, tire_circumference=2.120, axle_load=12000.0
    )
    made = replace(
        one_piece(),
        name="lowered",
        about="street van on links and air springs",
        vehicle=vehicle,
        output=End(point=place(1500, 0, 380), slope=2.5 * DEG, plan=0.0),
        pinion=pinion_from_axle(axle, 330, 30, 15, 2.5),
        axle=axle,
        suspension=Links(
            lower_frame=place(2700, 0, 305),
            lower_axle=place(3300, 0, 270),
            upper_frame=place(2860, 0, 455),
            upper_axle=place(3270, 0, 440),
            wind_up=2500 / DEG,
        ),
        travel=Travel(
            droop=0.080,
            bump=0.070,
            parked_low=0.055,
            roll=2 * DEG,
            heights=(
                Height(name="loaded", left=0.020, right=0.020, cases=("no torque", "cruise")),
            ),
        ),
        spline=spline("output", 45, 80, 45, 30),
    )
    return replace(made, **changes)

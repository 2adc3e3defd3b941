"""Whirl of beams against closed forms, published constants and a beam of finite differences."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import samples
from chains import RPM
from scipy.linalg import eigh

from sim.judge.rules import load_rules
from sim.measure.whirl.beam import Section, round_section, shear_coefficient
from sim.measure.whirl.crossings import HALF_BAND, engine_limited_speed, find_crossings, road_speed
from sim.measure.whirl.modes import Modes, Piece, Span, chain_modes
from sim.measure.whirl.whirl import bearing_modes, measure_whirl, row_modes, shaft_speeds
from sim.scene.parts import Configuration

INCH = 0.0254
STEEL = (207e9, 0.3, 7850.0)
ALUMINUM = (69e9, 0.33, 2700.0)


def slender(outside: float, wall: float, material: tuple[float, float, float] = STEEL) -> Section:
    """Return a tube whose shear and rotary inertia are left out (Euler and Bernoulli)."""
    section = round_section(outside, outside - 2 * wall, *material)
    return replace(section, shear=math.inf, tilt=0.0)


def tube(outside: float, wall: float) -> Section:
    return round_section(outside, outside - 2 * wall, *STEEL)


def span(length: float, section: Section, **more: float) -> Span:
    return Span(pieces=(Piece(length=length, section=section),), **more)


def cut(length: float, section: Section, count: int) -> Span:
    """Return a span cut into plain cubic elements."""
    piece = Piece(length=length / count, section=section, bubbles=0)
    return Span(pieces=(piece,) * count)


def first(modes: Modes) -> float:
    """Return the first critical speed [rpm]."""
    return float(modes.frequency[0, 0]) / RPM


@pytest.mark.parametrize(
    ("outside", "wall", "length", "material", "expected"),
    [
        # Uniform beam on pinned ends, Euler-Bernoulli (any text on vibration, e.g. Rao, Mechanical
        # Vibrations), computed at 40 digits [rpm]; sizes in inches.
        (3.0, 0.083, 54, STEEL, 6741.6687),
        (3.5, 0.083, 60, STEEL, 6396.0717),
        (4.0, 0.083, 65, STEEL, 6246.9366),
        (3.5, 0.125, 60, ALUMINUM, 6221.6277),
        (4.0, 0.125, 65, ALUMINUM, 6085.6352),
    ],
)
def test_a_slender_tube_on_rigid_ends_is_the_pinned_beam(
    outside: float,
    wall: float,
    length: float,
    material: tuple[float, float, float],
    expected: float,
) -> None:
    beam = span(length * INCH, slender(outside * INCH, wall * INCH, material))
    assert first(chain_modes((beam,))) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("number", [1, 2, 3])
def test_higher_modes_of_a_pinned_beam_go_with_the_square(number: int) -> None:
    # The same formula: n² times the first, 5636.8937 rpm for 76.2 x 2.1082 mm, 1.5 m.
    found = chain_modes((cut(1.5, slender(0.0762, 0.0021082), 64),)).frequency[0] / RPM
    assert found[number - 1] == pytest.approx(number**2 * 5636.8937, rel=2e-6)


@pytest.mark.parametrize(
    ("stiffness", "expected"),
    # Equal springs at both ends, symmetric mode: E I λ³ (tan u + tanh u) = 2 k, u = λ L/2; derived
    # from the beam equation, solved at 40 digits [rpm]; 76.2 x 2.1082 mm steel, 1.5 m.
    [(math.inf, 5636.8937), (1e7, 5416.4079), (1e6, 4081.925), (1e5, 1707.9215)],
)
def test_springs_at_both_ends_solve_the_transcendental_equation(
    stiffness: float, expected: float
) -> None:
    beam = span(1.5, slender(0.0762, 0.0021082))
    found = chain_modes((beam,), ends=(stiffness, stiffness))
    assert first(found) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("stiffness", "bounces"), [(1e7, False), (1e6, True), (1e5, True), (8e4, True)]
)
def test_strain_energy_tells_bounce_from_bending(stiffness: float, bounces: bool) -> None:
    """The share in the springs by energy of the exact symmetric shape, integrated here."""
    section, length = slender(0.0762, 0.0021082), 1.5
    found = chain_modes((span(length, section),), ends=(stiffness, stiffness))
    lam = (section.line_mass * found.frequency[0, 0] ** 2 / section.bending) ** 0.25
    x, u = np.linspace(-length / 2, length / 2, 20001), lam * length / 2
    shape = np.cos(lam * x) / np.cos(u) + np.cosh(lam * x) / np.cosh(u)
    curve = lam**2 * (-np.cos(lam * x) / np.cos(u) + np.cosh(lam * x) / np.cosh(u))
    bent = np.trapezoid(section.bending * curve**2, x)
    hung = stiffness * (shape[0] ** 2 + shape[-1] ** 2)
    assert found.in_supports[0, 0] == pytest.approx(hung / (hung + bent), rel=1e-4)
    assert (found.in_supports[0, 0] > 0.5) is np.bool_(bounces)


@pytest.mark.parametrize(
    ("outside", "wall", "length", "ratio"),
    [
        # Pinned Timoshenko beam over Euler-Bernoulli, steel, ν 0.3, Cowper's shear coefficient of a
        # tube (theory from memory), solved at 40 digits.
        (0.0762, 0.0021082, 1.5, 0.9912606),
        (0.0889, 0.0021082, 1.2, 0.98158528),
        (0.1143, 0.0034, 1.0, 0.95850528),
    ],
)
def test_shear_and_rotary_inertia_slow_a_tube(
    outside: float, wall: float, length: float, ratio: float
) -> None:
    full = chain_modes((span(length, tube(outside, wall)),))
    plain = chain_modes((span(length, slender(outside, wall)),))
    assert first(full) / first(plain) == pytest.approx(ratio, rel=5e-6)


def test_the_shear_coefficient_of_a_solid_bar_and_of_a_thin_tube() -> None:
    # Cowper, J. Appl. Mech. 33 (1966), from memory: solid 6(1+ν)/(7+6ν), thin 2(1+ν)/(4+3ν).
    assert float(shear_coefficient(1.0, 0.0, 0.3)) == pytest.approx(6 * 1.3 / 8.8, rel=1e-12)
    assert float(shear_coefficient(1.0, 0.999999, 0.3)) == pytest.approx(2.6 / 4.9, rel=1e-6)


@pytest.mark.parametrize("ends", [math.inf, 1e6])
def test_the_mesh_converges_with_the_fourth_power(ends: float) -> None:
    # Cubic elements, consistent mass: error of a frequency falls with h⁴ (Strang and Fix, An
    # Analysis of the Finite Element Method, from memory).  Limit by the tests above.
    limit = {math.inf: 5636.8937, 1e6: 4081.925}[ends]

    def at(count: int) -> float:
        beam = cut(1.5, slender(0.0762, 0.0021082), count)
        return first(chain_modes((beam,), ends=(ends, ends)))

    exact = at(64)
    assert exact == pytest.approx(limit, rel=1e-7)
    error = [at(count) - exact for count in (2, 4, 8)]
    assert error[0] / error[1] == pytest.approx(16, rel=0.08)
    assert error[1] / error[2] == pytest.approx(16, rel=0.03)


def test_the_published_constant_is_that_of_the_beam() -> None:
    # IMS Ltd, technical data, critical speeds: 1.21e8 sqrt(D² + d²)/L² in mm; 76.2 x 2.1082 mm,
    # 1371.6 mm gives 6742.0396 rpm.  Steel of 207 GPa and 7850 kg/m³ agrees to 6 in 100 000.
    found = first(chain_modes((span(1.3716, slender(0.0762, 0.0021082)),)))
    assert found == pytest.approx(6742.0396, rel=1e-4)


def test_the_speed_lost_to_an_end_mass_on_a_spring_is_that_of_one_mass() -> None:
    # A stiff light bar, pinned in front, 10 kg at a spring at its rear end: ω² = k/m.
    bar = Section(bending=1e6, shear=math.inf, line_mass=1e-4, tilt=0.0)
    found = chain_modes((span(1.0, bar, rear_mass=10.0),), ends=(math.inf, 9e4))
    assert found.frequency[0, 0] == pytest.approx(math.sqrt(9e4 / 10), rel=1e-4)
    assert found.in_supports[0, 0] == pytest.approx(1, abs=1e-3)


def by_differences(
    lengths: tuple[float, float],
    sections: tuple[Section, Section, Section],
    stub: float,
    rate: float,
    lump: float,
    steps: int,
) -> np.ndarray:
    """Return the frequencies of two spans by finite differences: energy of second differences.

    Deflection alone is unknown; curvature at every inner point of a span is its second difference,
    none at the hinge; masses are lumped at the points.  The first span has a stub of another
    section behind the spring.
    """
    first_steps, last_steps = (round(long * steps) for long in lengths)
    h, size = 1 / steps, first_steps + last_steps + 1
    stiffness, mass = np.zeros((size, size)), np.zeros(size)
    stub_at = first_steps - round(stub * steps)
    for begin, end in ((0, first_steps), (first_steps, size - 1)):
        for i in range(begin + 1, end):
            bend = np.zeros(size)
            bend[i - 1 : i + 2] = np.array([1, -2, 1]) / h**2
            if i == stub_at and end == first_steps:  # half a step of each: compliance in series
                flexible = (1 / sections[0].bending + 1 / sections[1].bending) / 2
                rigid = 1 / flexible
            else:
                rigid = _at(sections, i, stub_at, first_steps).bending
            stiffness += rigid * h * np.outer(bend, bend)
    for i in range(size - 1):
        half = _at(sections, i + 0.5, stub_at, first_steps).line_mass * h / 2
        mass[i] += half
        mass[i + 1] += half
    mass[first_steps] += lump
    stiffness[stub_at, stub_at] += rate
    free = slice(1, size - 1)
    squares = eigh(stiffness[free, free], np.diag(mass[free]), eigvals_only=True)
    return np.sqrt(squares[:4])


def _at(
    sections: tuple[Section, Section, Section], place: float, stub_at: int, hinge: int
) -> Section:
    return sections[0] if place < stub_at else sections[1] if place < hinge else sections[2]


@pytest.mark.parametrize("rate", [8e4, 2e6, 5e7])
def test_two_stepped_spans_in_rubber_agree_with_finite_differences(rate: float) -> None:
    """Another method, written here: no element, no slope, masses lumped."""
    lengths, stub, lump = (0.8, 1.2), 0.12, 6.0
    front, bar, rear = (
        slender(0.0889, 0.0021),
        slender(0.045, 0.0225 - 1e-9),
        slender(0.0762, 0.002),
    )
    spans = (
        Span(
            pieces=(
                Piece(length=0.8 - stub, section=front),
                Piece(length=stub, section=bar),
            ),
            rear_mass=lump / 2,
            hung_behind=1,
            hung_by=rate,
        ),
        span(1.2, rear, front_mass=lump / 2),
    )
    found = chain_modes(spans).frequency[0, :3]
    coarse = by_differences(lengths, (front, bar, rear), stub, rate, lump, 100)[:3]
    fine = by_differences(lengths, (front, bar, rear), stub, rate, lump, 200)[:3]
    better = fine + (fine - coarse) / 3  # second order, taken to the limit
    assert found == pytest.approx(better, rel=2e-4)


def test_a_rigid_bearing_is_the_limit_of_a_stiff_one(two_piece) -> None:
    stiff = tuple(replace(b, radial=1e12) for b in two_piece.bearings)
    found = measure_whirl(replace(two_piece, bearings=stiff), [0.775, 1.143])
    for shaft in found.shafts:
        assert shaft.speed == pytest.approx(shaft.rigid_speed, rel=1e-4)


def pinned(length: float) -> float:
    """Return the first frequency of a pinned tube, 88.9 x 2.1 mm steel [rad/s].

    The frequency equation of a Timoshenko beam, solved here.
    """
    s, k = tube(0.0889, 0.0021), math.pi / length
    a = s.line_mass * s.tilt
    b = s.line_mass * (s.bending * k**2 + s.shear) + s.tilt * s.shear * k**2
    return math.sqrt((b - math.sqrt(b * b - 4 * a * s.shear * s.bending * k**4)) / (2 * a))


def test_hinges_let_pinned_spans_bend_one_by_one(two_piece) -> None:
    """With rigid bearings at the joints every span is a pinned tube by itself: pinned formula."""
    held = tuple(replace(b, radial=1e15, to_joint=0.0) for b in two_piece.bearings)
    found = measure_whirl(replace(two_piece, bearings=held), [0.8, 1.2])
    for shaft, length in zip(found.shafts, (0.8, 1.2), strict=True):
        assert shaft.speed == pytest.approx(pinned(length), rel=3e-4)


def test_a_bearing_at_its_joint_beside_others_loses_no_digits(two_piece) -> None:
    """Beside designs with a stub it gets one of 1 mm: its tube is pinned that much shorter."""
    held = tuple(replace(b, radial=1e15, to_joint=np.array([0.0, 0.1])) for b in two_piece.bearings)
    modes = row_modes(replace(two_piece, bearings=held), np.array([[0.8, 1.2], [0.8, 1.2]]))
    first, last = shaft_speeds(modes)[0]
    assert pinned(0.8) * (1 - 3e-4) < first < pinned(0.799) * (1 + 3e-4)
    assert last == pytest.approx(pinned(1.2), rel=3e-4)


def test_a_rubber_hung_bearing_bounces_and_no_margin_is_asked_of_it(two_piece) -> None:
    # Physics: rigid shafts on one spring, ω² = k a²/(J), both shafts swinging about their far ends.
    found = measure_whirl(two_piece, [0.775, 1.143])
    first_mode, lever = found.modes[0], 0.660 / 0.775
    # Kinetic energy per squared deflection of the joint: a third of each tube, and the yokes there.
    tubes = [4.49518 * long for long in (0.775, 1.143)]  # 88.9 x 2.1 mm steel: 4.49518 kg/m
    yokes = [(12.0 - weight) / 2 for weight in tubes]
    rigid = math.sqrt(8e4 * lever**2 / (sum(tubes) / 3 + sum(yokes)))
    assert first_mode.kind == "bounce"
    assert first_mode.frequency == pytest.approx(rigid, rel=0.005)
    assert all(found.modes[shaft.mode - 1].kind == "bending" for shaft in found.shafts)


def test_a_mass_beyond_a_rigid_bearing_swings_as_statics_says() -> None:
    """A massless beam on two supports, a mass at its overhanging end, in many sizes at once.

    Load P at the end of an overhang b behind a span a: deflection P b² (a + b)/(3 E I), any
    handbook of strength of materials; ω² = P/(m deflection).
    """
    stiff, over, mass = np.array([2e4, 5e4]), np.array([0.2, 0.1]), np.array([5.0, 9.0])
    bar = Section(bending=stiff, shear=math.inf, line_mass=1e-4, tilt=0.0)
    beam = Span(
        pieces=(Piece(length=0.8, section=bar), Piece(length=over, section=bar)),
        rear_mass=mass,
        hung_behind=1,
    )
    found = chain_modes((beam,), ends=(math.inf, 0.0)).frequency[:, 0]
    exact = np.sqrt(3 * stiff / (mass * over**2 * (0.8 + over)))
    assert found == pytest.approx(exact, rel=2e-5)


def test_many_pinned_tubes_at_once_follow_the_closed_form() -> None:
    # Euler-Bernoulli, pinned: ω = π² sqrt(E I/(ρ A))/L², any text on vibration.
    random = np.random.default_rng(3)
    outside, wall, long = random.uniform([0.06, 0.002, 0.5], [0.12, 0.004, 2.0], (40, 3)).T
    inside = outside - 2 * wall
    bending, line_mass = (
        207e9 * math.pi / 64 * (outside**4 - inside**4),
        7850 * math.pi / 4 * (outside**2 - inside**2),
    )
    found = chain_modes((span(long, slender(outside, wall)),)).frequency[:, 0]
    assert found == pytest.approx(math.pi**2 * np.sqrt(bending / line_mass) / long**2, rel=1e-8)


@pytest.mark.parametrize("make", [samples.two_piece, samples.three_piece, samples.car])
def test_many_designs_at_once_are_each_design_by_itself(make: Callable[[], Configuration]) -> None:
    """Rows share nothing: tubes, masses, rubber and stubs that differ from row to row."""
    made, random = make(), np.random.default_rng(8)

    def varied(number: int | None) -> tuple[Configuration, np.ndarray]:
        def pick(values: np.ndarray) -> Any:
            return values if number is None else float(values[number])

        shafts = tuple(
            replace(s, mass=pick(m), tube=replace(s.tube, outside=pick(d)))
            for s, m, d in zip(made.shafts, mass, outside, strict=True)
        )
        bearings = tuple(
            replace(b, radial=pick(r), to_joint=pick(j))
            for b, r, j in zip(made.bearings, rubber, stub, strict=True)
        )
        lengths = length if number is None else length[number]
        return replace(made, shafts=shafts, bearings=bearings), lengths

    shafts, bearings = len(made.shafts), len(made.bearings)
    mass, outside = random.uniform(9, 20, (shafts, 5)), random.uniform(0.06, 0.1, (shafts, 5))
    rubber, stub = random.uniform(3e4, 2e5, (bearings, 5)), random.uniform(0.05, 0.2, (bearings, 5))
    length = random.uniform(0.7, 1.8, (5, shafts))
    many = row_modes(*varied(None))
    speeds, bounces = shaft_speeds(many), bearing_modes(many)
    assert speeds.shape == (5, shafts)
    assert bounces.shape == (5, bearings)
    for number in range(5):
        alone = measure_whirl(*varied(number))
        expected = [shaft.speed for shaft in alone.shafts]
        assert speeds[number] == pytest.approx(expected, rel=1e-9)
        bouncing = sorted(mode.frequency for mode in alone.modes if mode.kind == "bounce")
        assert sorted(bounces[number]) == pytest.approx(bouncing, rel=1e-9)


@pytest.mark.parametrize("half_waves", [1, 2])
def test_a_stubby_tube_bends_as_the_frequency_equation_says(half_waves: int) -> None:
    """Shear and rotary inertia take a quarter of its speed; the pinned beam, solved here."""
    s, length = tube(0.12, 0.004), 0.4
    k = half_waves * math.pi / length
    a = s.line_mass * s.tilt
    b = s.line_mass * (s.bending * k**2 + s.shear) + s.tilt * s.shear * k**2
    exact = math.sqrt((b - math.sqrt(b * b - 4 * a * s.shear * s.bending * k**4)) / (2 * a))
    found = chain_modes((span(length, s),)).frequency[0, half_waves - 1]
    assert exact < 0.8 * math.sqrt(s.bending / s.line_mass) * k**2
    assert found == pytest.approx(exact, rel=2e-3)


def test_each_bearing_bounces_with_what_it_carries() -> None:
    """Two bearings far apart in stiffness: the stiff one's mode is not the soft one's.

    Shafts far stiffer than the rubber swing and tilt about their ends: two freedoms, the
    deflections of joints 2 and 3, solved here with SciPy.
    """
    made = samples.three_piece()
    rates, long = (4e4, 3e5), np.array([1.1, 1.1, 1.4])
    bearings = tuple(
        replace(b, radial=k, to_joint=0.0) for b, k in zip(made.bearings, rates, strict=True)
    )
    thick = tuple(replace(s, tube=replace(s.tube, outside=0.3)) for s in made.shafts)
    heavy = tuple(replace(s, mass=1.0) for s in thick)
    found = bearing_modes(row_modes(replace(made, shafts=heavy, bearings=bearings), long[None]))[0]
    section = tube(0.3, 0.0021)
    mass = section.line_mass * np.array(
        [[(long[0] + long[1]) / 3, long[1] / 6], [long[1] / 6, (long[1] + long[2]) / 3]]
    ) + section.tilt * np.array(
        [[1 / long[0] + 1 / long[1], -1 / long[1]], [-1 / long[1], 1 / long[1] + 1 / long[2]]]
    )
    squares = eigh(np.diag(rates), mass, eigvals_only=True)
    assert found == pytest.approx(np.sqrt(squares), rel=1e-3)


def test_crossings_are_where_a_hand_calculation_puts_them() -> None:
    # 12.84 Hz at 60 mph is the tire's first order of a GM manual's truck (12 x 1.07); with an axle
    # of 3 to 1 the shaft turns 38.52 times a second there: once per turn meets 38.52 Hz at 60 mph,
    # twice per turn at 30 mph.
    mph = 0.44704
    vehicle = replace(
        samples.TRUCK, axle_ratio=3.0, tire_circumference=60 * mph / 12.84, top_speed=70 * mph
    )
    found = find_crossings(vehicle, [2 * math.pi * 38.52])
    assert [c.order for c in found] == [2, 1]
    turns = [c.shaft_speed / (2 * math.pi) for c in found]
    assert turns == pytest.approx([38.52 / 2, 38.52], rel=1e-12)
    assert [c.road_speed / mph for c in found] == pytest.approx([30, 60], rel=1e-12)
    assert (
        find_crossings(replace(vehicle, top_speed=49 * mph), [2 * math.pi * 38.52])[-1].order == 2
    )


def test_ford_drives_its_shaft_at_twenty_two_turns() -> None:
    # Ford, order arithmetic: tire 7 Hz, axle 3.08: shaft 21.56 Hz.
    vehicle = replace(samples.TRUCK, axle_ratio=3.08, tire_circumference=2.0)
    assert road_speed(vehicle, 2 * math.pi * 21.56) == pytest.approx(7 * 2.0, rel=1e-12)


def test_the_band_about_half_of_critical() -> None:
    # Cardan India, speed limits: keep 8 % away, to either side, from 50 % of critical.
    assert pytest.approx((0.5 * 0.92, 0.5 * 1.08), rel=1e-12) == HALF_BAND


@pytest.mark.parametrize(
    ("share", "maker"),
    [(0.70, "IMS, automotive"), (0.65, "IMS, industrial"), (0.75, "Cardan India")],
)
def test_the_shares_of_makers_hold_for_the_beam_too(share: float, maker: str) -> None:
    # IMS Ltd, technical data; Cardan India, speed limits (printed "x 7.5", read as 0.75).
    truck = samples.one_piece(limits=replace(samples.LIMITS, safe_share=share))
    shaft = measure_whirl(truck, [1.9]).shafts[0]
    assert shaft.safe_road_speed / shaft.road_speed == pytest.approx(share, rel=1e-12), maker


def test_the_beam_stands_behind_the_published_form() -> None:
    """One cause, so that one headline names both; the share is IMS's for cars, 0.70."""
    rules = load_rules("two-piece service")
    plain, beam = rules.rule("critical speed"), rules.rule("critical speed, beam")
    assert "0.70" in plain.source
    assert "0.70" in beam.source
    assert plain.cause == beam.cause


def test_the_engine_turns_the_shaft_at_its_cut_off_over_the_gear() -> None:
    # Arithmetic of gears: 5600 rpm through 0.70 to 1 is 8000 rpm.
    vehicle = replace(samples.TRUCK, engine_cut_off=5600 * RPM, top_gear=0.70)
    assert engine_limited_speed(vehicle) == pytest.approx(8000 * RPM, rel=1e-12)
    assert engine_limited_speed(replace(vehicle, engine_cut_off=None)) is None

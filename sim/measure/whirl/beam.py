"""One beam element: stiffness and mass of a short even piece of tube, shear and tilt included."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """An even cross section; its numbers may be those of many beams, shape (B,)."""

    bending: float  # bending stiffness E I [N m²]
    shear: float  # shear stiffness κ G A [N]; infinite for a slender beam (Euler-Bernoulli)
    line_mass: float  # mass per length ρ A [kg/m]
    tilt: float  # rotary inertia per length ρ I [kg m]; 0 for a slender beam


def shear_coefficient(outside: ArrayLike, inside: ArrayLike, poisson: ArrayLike) -> Array:
    r"""Return the share of a round tube's area that carries shear in a beam.

    .. math:: \kappa = \frac{6 (1 + \nu)(1 + m^2)^2}{(7 + 6\nu)(1 + m^2)^2 + (20 + 12\nu) m^2}

    Outside diameter D and inside diameter d, 0 for a bar [m], m = d/D, and Poisson's ratio ν: 0.886
    for a solid steel bar, 0.53 for a thin tube.

    Source:
        G. R. Cowper, The shear coefficient in Timoshenko's beam theory, J. Appl. Mech. 33 (1966),
        from memory.
    """
    square = (np.asarray(inside, float) / np.asarray(outside, float)) ** 2
    nu, whole = np.asarray(poisson, float), (1 + square) ** 2
    return np.asarray(6 * (1 + nu) * whole / ((7 + 6 * nu) * whole + (20 + 12 * nu) * square))


def round_section(
    outside: float, inside: float, young: float, poisson: float, density: float
) -> Section:
    """Return the section of a round tube or bar, with shear and rotary inertia.

    Diameters [m], inside 0 for a bar; Young's modulus [Pa], Poisson's ratio [-], density [kg/m³].
    """
    area = math.pi / 4 * (outside**2 - inside**2)
    second = math.pi / 64 * (outside**4 - inside**4)
    carried = shear_coefficient(outside, inside, poisson)
    return Section(
        bending=young * second,
        shear=cast(float, carried * young / (2 * (1 + poisson)) * area),
        line_mass=density * area,
        tilt=density * second,
    )


def element_matrices(section: Section, length: ArrayLike, bubbles: int = 0) -> tuple[Array, Array]:
    r"""Return stiffness and consistent mass of beam elements with shear.

    Freedoms: deflection and slope at the front, then at the rear; then the bubbles, which move
    nothing at either end.  A section turned by ψ deflects along
    :math:`w' = \psi - \frac{\phi h^2}{12} \psi''`, :math:`\phi = 12 E I / (\kappa G A h^2)`, as
    balance without inertia asks.  With a parabola ψ this gives the exact static shapes, which take
    the ends; bubble k of 2, 3 … has :math:`\psi' \propto P_k`, Legendre's polynomial, and shares no
    strain energy with them.  With φ and rotary inertia 0 the beam is that of Euler and Bernoulli.

    Of length h [m], one number or (B,): stiffness [N/m, N, N m] and mass [kg, kg m, kg m²], each
    (B, 4 + bubbles, 4 + bubbles).

    Source:
        Przemieniecki, Theory of Matrix Structural Analysis; Friedman and Kosmatka, An improved
        two-node Timoshenko beam finite element, Computers & Structures 47 (1993); bubbles of
        Legendre's polynomials: Szabó and Babuška, Finite Element Analysis; from memory.
    """
    h, phi = _proportions(section, length)
    near, far, one = (4 + phi) * h**2, (2 - phi) * h**2, np.ones_like(h)
    rows = [
        [12 * one, 6 * h, -12 * one, 6 * h],
        [6 * h, near, -6 * h, far],
        [-12 * one, -6 * h, 12 * one, -6 * h],
        [6 * h, far, -6 * h, near],
    ]
    stiffness = np.zeros((len(h), 4 + bubbles, 4 + bubbles))
    stiffness[:, :4, :4] = np.moveaxis(section.bending / (h**3 * (1 + phi)) * np.array(rows), -1, 0)
    stiffness[:, 4:, 4:] = _bubble_stiffness(section, h, phi, bubbles)
    place, part = gauss(4 + bubbles)  # exact for their products
    sides = (
        (deflections(section, length, place, bubbles), section.line_mass),
        (_slopes(section, length, place, bubbles), section.tilt),
    )
    mass = sum(
        (side * np.multiply.outer(inertia * h, part)[:, None]) @ side.swapaxes(1, 2)
        for side, inertia in sides
    )
    return stiffness, np.asarray(mass)


@functools.cache
def gauss(count: int) -> tuple[Array, Array]:
    """Return shares of a length at which to add up what runs along it, and their weights."""
    points, weights = np.polynomial.legendre.leggauss(count)
    return (points + 1) / 2, weights / 2


def deflections(section: Section, length: ArrayLike, place: Array, bubbles: int = 0) -> Array:
    """Return the deflection at shares x/h (P,) for each freedom at 1 [1, m], (B, freedoms, P)."""
    h, phi = (side[:, None] for side in _proportions(section, length))
    x = place
    rows = [
        (1 - 3 * x**2 + 2 * x**3 + phi * (1 - x)) / (1 + phi),
        h * (x - 2 * x**2 + x**3 + phi / 2 * (x - x**2)) / (1 + phi),
        (3 * x**2 - 2 * x**3 + phi * x) / (1 + phi),
        h * (-(x**2) + x**3 - phi / 2 * (x - x**2)) / (1 + phi),
    ]
    curve = np.polynomial.legendre.legvander(2 * x - 1, bubbles + 3).T
    for k in range(2, bubbles + 2):
        twice = (curve[k + 2] - curve[k]) / (2 * k + 3) - (curve[k] - curve[k - 2]) / (2 * k - 1)
        row = twice / (4 * (2 * k + 1)) - phi / 12 * (curve[k] - (-1) ** k)
        if k % 2:
            row = row - phi / (1 + phi) * (x**3 / 3 - x**2 / 2 - phi / 6 * x)
        rows.append(h * row)
    return np.stack(rows, axis=1)


def _slopes(section: Section, length: ArrayLike, place: Array, bubbles: int) -> Array:
    """Return the turn ψ of the section for each freedom at 1, see ``deflections``."""
    h, phi = (side[:, None] for side in _proportions(section, length))
    x = place
    rows = [
        6 / h * (x**2 - x) / (1 + phi),
        (1 - 4 * x + 3 * x**2 + phi * (1 - x)) / (1 + phi),
        6 / h * (x - x**2) / (1 + phi),
        (-2 * x + 3 * x**2 + phi * x) / (1 + phi),
    ]
    curve = np.polynomial.legendre.legvander(2 * x - 1, bubbles + 2).T
    for k in range(2, bubbles + 2):
        row = (curve[k + 1] - curve[k - 1]) / (2 * (2 * k + 1))
        rows.append(row - k % 2 * phi / (1 + phi) * (x**2 - x))
    return np.stack(rows, axis=1)


def curvatures(section: Section, length: ArrayLike, place: Array, bubbles: int = 0) -> Array:
    """Return how much ψ changes along the beam for each freedom at 1 [1/m, 1/m², …], same shape."""
    h, phi = (side[:, None] for side in _proportions(section, length))
    x = place
    rows = [
        6 / h**2 * (2 * x - 1) / (1 + phi),
        (6 * x - 4 - phi) / h / (1 + phi),
        6 / h**2 * (1 - 2 * x) / (1 + phi),
        (6 * x - 2 + phi) / h / (1 + phi),
    ]
    curve = np.polynomial.legendre.legvander(2 * x - 1, bubbles + 1).T
    for k in range(2, bubbles + 2):
        rows.append((curve[k] - k % 2 * phi / (1 + phi) * curve[1]) / h)
    return np.stack(rows, axis=1)


def _bubble_stiffness(section: Section, h: Array, phi: Array, bubbles: int) -> Array:
    """Return what bending and shear of the bubbles hold, (B, bubbles, bubbles).

    From ∫ P_j P_k = δ/(2k + 1) and ∫ P_j' P_k' = j (j + 1)/2, j ≤ k both odd or both even, over an
    element of length 1.
    """
    k = np.arange(2, bubbles + 2)
    least, odd = np.minimum.outer(k, k), k % 2
    alike = (k[:, None] + k) % 2 == 0
    bent = np.diag(1 / (2 * k + 1))
    shear = np.where(alike, least * (least + 1) / 2, 0.0)
    phi, stiff = phi[:, None, None], np.asarray(section.bending / h)[:, None, None]
    return np.asarray(
        stiff * (bent + phi / 3 * (shear - phi / (1 + phi) * np.multiply.outer(odd, odd)))
    )


def _proportions(section: Section, length: ArrayLike) -> tuple[Array, Array]:
    """Return length h [m] and shear number φ [-] of elements, both (B,)."""
    h = np.asarray(length, float)
    phi = 12 * section.bending / (section.shear * h**2)
    h, phi = np.broadcast_arrays(np.atleast_1d(h), phi)
    return h, phi

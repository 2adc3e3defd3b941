"""One beam element: stiffness and mass of a short even piece of tube, shear and tilt included."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(4)  # exact for products of two cubics
_PLACES, _PARTS = (_POINTS + 1) / 2, _WEIGHTS / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """An even cross section.

    Attributes:
        bending: Bending stiffness E I [N m²].
        shear: Shear stiffness κ G A [N]; infinite for a slender beam (Euler-Bernoulli).
        line_mass: Mass per length ρ A [kg/m].
        tilt: Rotary inertia per length ρ I [kg m]; 0 for a slender beam.
    """

    bending: float
    shear: float
    line_mass: float
    tilt: float


def shear_coefficient(outside: ArrayLike, inside: ArrayLike, poisson: ArrayLike) -> Array:
    r"""Return the share of a round tube's area that carries shear in a beam.

    .. math:: \kappa = \frac{6 (1 + \nu)(1 + m^2)^2}{(7 + 6\nu)(1 + m^2)^2 + (20 + 12\nu) m^2}

    Args:
        outside: Outside diameter D [m].
        inside: Inside diameter d [m], 0 for a solid bar; m = d/D.
        poisson: Poisson's ratio ν [-].

    Returns:
        κ [-], broadcast shape: 0.886 for a solid steel bar, 0.53 for a thin tube.

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
    """Return the cross section of a round tube or bar.

    Args:
        outside: Outside diameter [m].
        inside: Inside diameter [m]; 0 for a solid bar.
        young: Young's modulus [Pa].
        poisson: Poisson's ratio [-].
        density: Density [kg/m³].

    Returns:
        Its section, with shear and rotary inertia.
    """
    area = math.pi / 4 * (outside**2 - inside**2)
    second = math.pi / 64 * (outside**4 - inside**4)
    carried = float(shear_coefficient(outside, inside, poisson))
    return Section(
        bending=young * second,
        shear=carried * young / (2 * (1 + poisson)) * area,
        line_mass=density * area,
        tilt=density * second,
    )


def element_matrices(section: Section, length: ArrayLike) -> tuple[Array, Array]:
    r"""Return stiffness and consistent mass of beam elements with shear.

    Freedoms: deflection and slope at the front, then at the rear.  The shape functions are the
    exact static ones of a Timoshenko beam, with :math:`\phi = 12 E I / (\kappa G A h^2)`; with φ
    and rotary inertia 0 they are the cubic ones of Euler and Bernoulli.

    Args:
        section: Cross section.
        length: Of every element h [m], shape (E,).

    Returns:
        Stiffness [N/m, N, N m] and mass [kg, kg m, kg m²], each (E, 4, 4).

    Source:
        Przemieniecki, Theory of Matrix Structural Analysis; Friedman and Kosmatka, An improved
        two-node Timoshenko beam finite element, Computers & Structures 47 (1993); from memory.
    """
    h = np.asarray(length, float)
    phi = 12 * section.bending / (section.shear * h**2)
    near, far, one = (4 + phi) * h**2, (2 - phi) * h**2, np.ones_like(h)
    rows = [
        [12 * one, 6 * h, -12 * one, 6 * h],
        [6 * h, near, -6 * h, far],
        [-12 * one, -6 * h, 12 * one, -6 * h],
        [6 * h, far, -6 * h, near],
    ]
    scale = section.bending / (h**3 * (1 + phi))
    stiffness = np.moveaxis(scale * np.array(rows), -1, 0)
    mass = np.zeros_like(stiffness)
    for share, inertia in zip(_shapes(phi, h), (section.line_mass, section.tilt), strict=True):
        mass += inertia * (share * (_PARTS * h[:, None])[:, None]) @ share.swapaxes(1, 2)
    return stiffness, mass


def _shapes(phi: Array, h: Array) -> tuple[Array, Array]:
    """Return deflection and slope for each freedom, at the Gauss points, (E, 4, P)."""
    x, phi, h = _PLACES, phi[:, None], h[:, None]
    deflection = [
        1 - 3 * x**2 + 2 * x**3 + phi * (1 - x),
        h * (x - 2 * x**2 + x**3 + phi / 2 * (x - x**2)),
        3 * x**2 - 2 * x**3 + phi * x,
        h * (-(x**2) + x**3 - phi / 2 * (x - x**2)),
    ]
    slope = [
        6 / h * (x**2 - x),
        1 - 4 * x + 3 * x**2 + phi * (1 - x),
        6 / h * (x - x**2),
        -2 * x + 3 * x**2 + phi * x,
    ]
    whole = 1 + phi
    return np.stack(deflection, axis=1) / whole[:, None], np.stack(slope, axis=1) / whole[:, None]

"""Bending modes of beams in a row: hinged to one another, hung in springs, masses at their ends.

Many rows of one make are solved at once: every length, mass, stiffness and number of a section may
be one number or an array of shape (B,).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array, Index
from sim.measure.whirl.beam import Section, deflections, element_matrices

DRAWN = np.arange(32) / 32  # places of a piece at which its shape is drawn


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A length [m] of one even cross section, and how many bubbles enrich its shape."""

    length: float
    section: Section
    bubbles: int = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """One shaft, hinge to hinge."""

    pieces: tuple[Piece, ...]  # from its front hinge to its rear hinge
    front_mass: float = 0.0  # at the hinge [kg]
    rear_mass: float = 0.0  # at the hinge [kg]
    hung_behind: int | None = None  # number of pieces ahead of the spring that it hangs in, or None
    hung_by: float = math.inf  # its stiffness across the shaft [N/m]; infinite: rigid


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Modes:
    """Modes of B rows of N spans, slowest first."""

    frequency: Array  # natural frequencies [rad/s], (B, K)
    in_spans: Array  # share of the strain energy in every span [-], (B, K, N)
    in_springs: Array  # share of it in the spring of every span that hangs [-], (B, K, H)
    in_ends: Array  # share of it in the springs at both ends of the row [-], (B, K)
    shape: Array  # freedoms of all pieces, see ``swing``, (B, K, F)

    @property
    def in_supports(self) -> Array:
        """Share of the strain energy in all springs together [-], shape (B, K)."""
        return np.asarray(self.in_springs.sum(axis=-1) + self.in_ends)


def chain_modes(
    spans: Sequence[Span], ends: tuple[float, float] = (math.inf, math.inf), count: int = 12
) -> Modes:
    """Return the bending modes of rows of spans, in one plane, not turning.

    At a hinge both spans have the same deflection and each its own slope.  Supports are alike in
    both planes, so one plane tells all.  Gyroscopic moments are left out: slender shafts.

    At most ``count``, the row's ends on supports of stiffness [N/m], infinite for rigid ones.

    Source:
        Finite elements; strain energy of a mode: any text on structural dynamics.
    """
    meshes = meshes_of(spans)
    springs = [
        *(
            _Spring(own[span.hung_behind - 1].rear, span.hung_by)
            for span, own in zip(spans, meshes, strict=True)
            if span.hung_behind
        ),
        _Spring(meshes[0][0].front, ends[0]),
        _Spring(meshes[-1][-1].rear, ends[1]),
    ]
    stiffness, mass = assembled(spans, meshes, springs)
    held = [spring.freedom for spring in springs if not spring.yields]
    frequency, shape = lowest(stiffness, mass, held, count)
    bent = np.stack([sum(mesh.energy(shape) for mesh in own) for own in meshes], axis=-1)
    hung = np.stack([spring.energy(shape) for spring in springs], axis=-1)
    whole = bent.sum(axis=-1) + hung.sum(axis=-1)
    return Modes(
        frequency=frequency,
        in_spans=bent / whole[..., None],
        in_springs=hung[..., :-2] / whole[..., None],
        in_ends=hung[..., -2:].sum(axis=-1) / whole,
        shape=shape,
    )


def swing(spans: Sequence[Span], modes: Modes) -> tuple[Array, Array]:
    """Return how the first row swings in every mode, for drawing.

    Places from the front end, along the row [m], (P,), each hinge twice; and the deflection there,
    largest 1, (K, P).
    """
    place, deflection = deflected(spans, modes)
    largest = np.argmax(np.abs(deflection), axis=1)
    scale = deflection[np.arange(len(deflection)), largest]
    return place, deflection / scale[:, None]


def deflected(spans: Sequence[Span], modes: Modes) -> tuple[Array, Array]:
    """Return places and deflection as ``swing``, each mode as large as in ``Modes.shape``."""
    place, sideways, before = [], [], 0.0
    for span, own in zip(spans, meshes_of(spans), strict=True):
        for piece, mesh in zip(span.pieces, own, strict=True):
            curve = deflections(piece.section, piece.length, DRAWN, piece.bubbles)[0]
            place.append(before + piece.length * DRAWN)
            sideways.append(modes.shape[0][:, mesh.freedom] @ curve)
            before += piece.length
        place.append(np.array([before]))
        sideways.append(modes.shape[0][:, [own[-1].rear]])
    return np.concatenate(place), np.concatenate(sideways, axis=1)


@dataclass(frozen=True, slots=True)
class _Spring:
    """A spring at a freedom; an infinite one holds it."""

    freedom: int
    rate: float

    @property
    def yields(self) -> bool:
        return bool(np.isfinite(self.rate).all())

    def energy(self, shape: Array) -> Array:
        """Return twice its energy in every mode [J], shape (B, K)."""
        rate = np.asarray(self.rate)[..., None] if self.yields else 0.0
        return np.asarray(rate * shape[..., self.freedom] ** 2)


@dataclass(frozen=True, slots=True)
class Mesh:
    """A piece as one element: its freedoms (D,) and its matrices, (B, D, D)."""

    freedom: Index
    stiffness: Array
    mass: Array

    @property
    def front(self) -> int:
        """Number of the deflection of its front end."""
        return int(self.freedom[0])

    @property
    def rear(self) -> int:
        """Number of the deflection of its rear end."""
        return int(self.freedom[2])

    def energy(self, shape: Array) -> Array:
        """Return twice its strain energy in every mode [J], shape (B, K)."""
        moved = shape[..., self.freedom]
        return np.asarray(((moved @ self.stiffness) * moved).sum(axis=-1))


def meshes_of(spans: Sequence[Span]) -> list[list[Mesh]]:
    """Return the pieces of every span; at a hinge spans share the deflection, not the slope."""
    found: list[list[Mesh]] = []
    deflection, size = 0, 1
    for span in spans:
        slope, size = size, size + 1
        found.append([])
        for piece in span.pieces:
            rear = range(size, size + 2 + piece.bubbles)
            freedom = np.array([deflection, slope, *rear])
            matrices = element_matrices(piece.section, piece.length, piece.bubbles)
            found[-1].append(Mesh(freedom, *matrices))
            deflection, slope, size = rear[0], rear[1], rear.stop
    return found


def assembled(
    spans: Sequence[Span], meshes: list[list[Mesh]], springs: list[_Spring]
) -> tuple[Array, Array]:
    """Return stiffness and mass of the whole rows, (B, F, F)."""
    lumps = [
        lump
        for span, own in zip(spans, meshes, strict=True)
        for lump in ((own[0].front, span.front_mass), (own[-1].rear, span.rear_mass))
    ]
    pieces = [mesh for own in meshes for mesh in own]
    rows = np.broadcast_shapes(
        *(mesh.mass.shape[:1] for mesh in pieces),
        *(np.shape(lump) for _, lump in lumps),
        *(np.shape(spring.rate) for spring in springs),
    )
    size = int(pieces[-1].freedom.max()) + 1
    stiffness, mass = np.zeros((2, *rows, size, size))
    for mesh in pieces:
        stiffness[:, mesh.freedom[:, None], mesh.freedom] += mesh.stiffness
        mass[:, mesh.freedom[:, None], mesh.freedom] += mesh.mass
    for freedom, lump in lumps:
        mass[:, freedom, freedom] += lump
    for spring in springs:
        if spring.yields:
            stiffness[:, spring.freedom, spring.freedom] += spring.rate
    return stiffness, mass


def lowest(stiffness: Array, mass: Array, held: list[int], count: int) -> tuple[Array, Array]:
    """Return the lowest frequencies [rad/s], (B, K), and their shapes, (B, K, F).

    K v = λ M v with M = C Cᵀ is (C⁻¹ K C⁻ᵀ) w = λ w, v = C⁻ᵀ w.
    """
    free = np.delete(np.arange(mass.shape[-1]), held)
    inner = slice(None), free[:, None], free
    root = np.linalg.inv(np.linalg.cholesky(mass[inner]))
    turned = root.swapaxes(1, 2)
    squares, vectors = np.linalg.eigh(root @ stiffness[inner] @ turned)
    shape = np.zeros((len(mass), min(count, len(free)), mass.shape[-1]))
    shape[..., free] = (turned @ vectors[..., :count]).swapaxes(1, 2)
    return np.sqrt(np.clip(squares[:, :count], 0, None)), shape

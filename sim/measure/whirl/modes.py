"""Bending modes of beams in a row: hinged to one another, hung in springs, masses at their ends."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sim.measure.whirl.beam import Section, element_matrices

Array = NDArray[np.float64]
ELEMENTS = 10  # of a span; the first modes are then right to a part in ten thousand


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A length [m] of one even cross section."""

    length: float
    section: Section


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """One shaft, hinge to hinge.

    Attributes:
        pieces: From its front hinge to its rear hinge.
        front_mass, rear_mass: Masses at the hinges [kg].
        hung_at: Distance from the front hinge to where it hangs in a spring [m], or None.
        hung_by: Stiffness of that spring across the shaft [N/m]; infinite for a rigid support.
    """

    pieces: tuple[Piece, ...]
    front_mass: float = 0.0
    rear_mass: float = 0.0
    hung_at: float | None = None
    hung_by: float = math.inf


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Modes:
    """Modes of a row of spans, slowest first.

    Attributes:
        frequency: Natural frequencies [rad/s], shape (K,).
        in_spans: Share of the strain energy in every span [-], shape (K, N).
        in_supports: Share of it in all springs together [-], shape (K,).
        place: Distance of every node from the front end, along the row [m], shape (P,).
        deflection: Sideways, largest 1, shape (K, P).
    """

    frequency: Array
    in_spans: Array
    in_supports: Array
    place: Array
    deflection: Array


@dataclass(slots=True)
class _Assembly:
    """What grows span by span: both matrices, and the nodes."""

    stiffness: Array
    mass: Array
    spans: list[Array]
    springs: list[tuple[int, float]]
    place: list[float]
    node: list[int]


def chain_modes(
    spans: tuple[Span, ...],
    ends: tuple[float, float] = (math.inf, math.inf),
    elements: int = ELEMENTS,
    count: int = 24,
) -> Modes:
    """Return the bending modes of spans in a row, in one plane, not turning.

    At a hinge both spans have the same deflection and each its own slope.  Supports are alike in
    both planes, so one plane tells all.  Gyroscopic moments are left out: slender shafts.

    Args:
        spans: From the front.
        ends: Stiffness of the supports at both ends of the row [N/m]; infinite for rigid ones.
        elements: Elements of a span; more where it hangs or changes its section.
        count: How many modes at most.

    Returns:
        The modes.

    Source:
        Finite elements; strain energy of a mode: any text on structural dynamics.
    """
    grid = [_nodes(span, elements) for span in spans]
    built = _assemble(spans, grid)
    built.springs[:0] = [(built.node[0], ends[0])]
    built.springs.append((built.node[-1], ends[1]))
    for freedom, rate in built.springs:
        if math.isfinite(rate):
            built.stiffness[freedom, freedom] += rate
    held = [freedom for freedom, rate in built.springs if not math.isfinite(rate)]
    free = np.setdiff1d(np.arange(len(built.mass)), held)
    last = min(count, len(free)) - 1
    # K v = λ M v with M = C Cᵀ is (C⁻¹ K C⁻ᵀ) w = λ w, v = C⁻ᵀ w.
    root = np.linalg.cholesky(built.mass[np.ix_(free, free)])
    half = np.linalg.solve(root, built.stiffness[np.ix_(free, free)])
    squares, vectors = np.linalg.eigh(np.linalg.solve(root, half.T))
    shapes = np.zeros((last + 1, len(built.mass)))
    shapes[:, free] = np.linalg.solve(root.T, vectors[:, : last + 1]).T
    return _read_off(built, squares[: last + 1], shapes)


def _read_off(built: _Assembly, squares: Array, shapes: Array) -> Modes:
    """Return frequencies, shares of energy and shapes."""
    energy = np.stack(
        [np.einsum("ki,ij,kj->k", shapes, part, shapes) for part in built.spans], axis=1
    )
    springs = [(f, rate) for f, rate in built.springs if math.isfinite(rate)]
    hung = sum((rate * shapes[:, f] ** 2 for f, rate in springs), np.zeros(len(shapes)))
    whole = energy.sum(axis=1) + hung
    deflection = shapes[:, built.node]
    largest = np.argmax(np.abs(deflection), axis=1)
    scale = deflection[np.arange(len(deflection)), largest]
    return Modes(
        frequency=np.sqrt(np.clip(squares, 0, None)),
        in_spans=energy / whole[:, None],
        in_supports=hung / whole,
        place=np.array(built.place),
        deflection=deflection / scale[:, None],
    )


def _nodes(span: Span, elements: int) -> Array:
    """Return the nodes of a span [m]: even between the places where something changes."""
    ends = np.cumsum([piece.length for piece in span.pieces])
    marks = {0.0, *ends.tolist()}
    if span.hung_at is not None:
        marks.add(span.hung_at)
    stops = sorted(marks)
    parts = [
        np.linspace(a, b, max(1, round(elements * (b - a) / ends[-1])), endpoint=False)
        for a, b in pairwise(stops)
    ]
    return np.concatenate([*parts, ends[-1:]])


def _assemble(spans: tuple[Span, ...], grid: list[Array]) -> _Assembly:
    """Return the matrices of the whole row, without its end supports."""
    size = sum(2 * len(nodes) for nodes in grid) - (len(spans) - 1)
    built = _Assembly(np.zeros((size, size)), np.zeros((size, size)), [], [], [], [])
    start, before, shared = 0, 0.0, -1  # next freedom, length so far, freedom of the last hinge
    for span, nodes in zip(spans, grid, strict=True):
        deflections = start + 2 * np.arange(len(nodes))
        slopes = deflections + 1
        if shared >= 0:  # its front hinge moves with the rear end of the span ahead
            slopes -= 1
            deflections = np.concatenate([[shared], slopes[1:] - 1])
        _add_span(built, span, nodes, np.stack([deflections, slopes], axis=1))
        built.place += (before + nodes).tolist()
        built.node += deflections.tolist()
        start, before, shared = int(slopes[-1]) + 1, before + float(nodes[-1]), int(deflections[-1])
    return built


def _add_span(built: _Assembly, span: Span, nodes: Array, freedom: NDArray[np.int64]) -> None:
    """Add the elements, the end masses and the spring of one span."""
    ends = np.cumsum([piece.length for piece in span.pieces])
    whose = np.searchsorted(ends, (nodes[1:] + nodes[:-1]) / 2)
    own = np.zeros_like(built.mass)
    for number, piece in enumerate(span.pieces):
        here = np.flatnonzero(whose == number)
        stiffness, mass = element_matrices(piece.section, np.diff(nodes)[here])
        both = np.concatenate([freedom[here], freedom[here + 1]], axis=1)
        where = both[:, :, None], both[:, None, :]
        np.add.at(own, where, stiffness)
        np.add.at(built.mass, where, mass)
    built.stiffness += own
    built.spans.append(own)
    for node, lump in ((0, span.front_mass), (-1, span.rear_mass)):
        built.mass[freedom[node, 0], freedom[node, 0]] += lump
    if span.hung_at is not None:
        near = int(np.argmin(np.abs(nodes - span.hung_at)))
        built.springs.append((int(freedom[near, 0]), span.hung_by))

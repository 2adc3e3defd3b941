"""The shafts in a row as beams that hang free: what any support and any load of them needs.

Modes of the row without its supports answer for every kind of support at once: springs, lossy
rubber, or rigid ends only add a few forces to it (``response``).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sim.arrays import Array
from sim.measure.whirl.beam import curvatures, gauss
from sim.measure.whirl.modes import Mesh, Span, assembled, lowest, meshes_of
from sim.measure.whirl.whirl import spans_of
from sim.scene.parts import Configuration

BOW_POINTS = 12  # places of a piece at which its bow is added up, exact to more digits than kept


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Row:
    """Modes of B rows of N shafts without supports, of mass 1; K modes, P = N + 1 places.

    Places are the output, every bearing from the front, and the pinion.
    """

    square: Array  # natural frequencies squared [rad²/s²], 0 of what moves as a whole, (B, K)
    place: Array  # deflection of every place in every mode [1/√kg], (B, P, K)
    joint: Array  # of every joint [1/√kg], (B, N + 1, K)
    front_slope: Array  # slope at the front end of every shaft [1/(m √kg)], (B, N, K)
    rear_slope: Array  # the same at its rear end
    # load by a bow of 1 m at mid-length: what holds it straight, K q0; and the end masses that
    # balanced it, which load with the square of the shaft speed, both (B, N, K)
    bow_held: Array
    bow_balance: Array


def with_stub(configuration: Configuration, slip: Array) -> Configuration:
    """Return designs whose spline has slipped so far [m], (B,): a midship one by its stub alone.

    What a shaft's length changes by then lies behind its bearing, not in the tube ahead of it.
    """
    if configuration.spline.at != "midship" or not configuration.bearings:
        return configuration
    *others, last = configuration.bearings
    drawn: Any = np.maximum(last.to_joint + slip, 0.0)
    return replace(configuration, bearings=(*others, replace(last, to_joint=drawn)))


def row_of(configuration: Configuration, length: Array) -> Row:
    """Return the free row of designs with shafts so long [m], (B, N).

    A bow is half a sine wave between the joints; the shaft was balanced after it was bent, by a
    mass at each end.

    Source:
        Timoshenko beams as in ``whirl``; the bow: derived in DEVELOPERS.md, shake.
    """
    return free_row(spans_of(configuration, length, rubber=True), len(length))


def free_row(spans: Sequence[Span], rows: int) -> Row:
    """Return so many rows of spans without their supports, hung where the spans say."""
    meshes = meshes_of(spans)
    stiffness, mass = assembled(spans, meshes, [])
    count = stiffness.shape[-1]
    root, shape = lowest(stiffness, mass, [], count)
    shape = np.broadcast_to(shape, (rows, *shape.shape[1:]))
    hung = [
        own[span.hung_behind - 1].rear
        for span, own in zip(spans, meshes, strict=True)
        if span.hung_behind
    ]
    front, rear = [own[0].front for own in meshes], [own[-1].rear for own in meshes]
    at = shape.swapaxes(1, 2)
    joint = at[:, [*front, rear[-1]]]
    bows = [_bow(span, own, at) for span, own in zip(spans, meshes, strict=True)]
    balance = [
        bow.front[:, None] * joint[:, n] + bow.rear[:, None] * joint[:, n + 1]
        for n, bow in enumerate(bows)
    ]
    return Row(
        square=np.broadcast_to(root**2, shape.shape[:2]),
        place=at[:, [front[0], *hung, rear[-1]]],
        joint=joint,
        front_slope=at[:, [int(own[0].freedom[1]) for own in meshes]],
        rear_slope=at[:, [int(own[-1].freedom[3]) for own in meshes]],
        bow_held=np.stack([bow.held for bow in bows], axis=1),
        bow_balance=np.stack(balance, axis=1),
    )


@dataclass(frozen=True, slots=True)
class _Bow:
    """A shaft bent by 1 m at mid-length: load that holds it (B, K), end masses times 1 m (B,)."""

    held: Array
    front: Array
    rear: Array


def _bow(span: Span, own: list[Mesh], at: Array) -> _Bow:
    """Return what a bow of a shaft does; the modes at every freedom are (B, F, K)."""
    whole = np.zeros(len(at)) + sum(piece.length for piece in span.pieces)
    held, moved, turned = (
        np.zeros((len(at), at.shape[-1])),
        np.zeros_like(whole),
        np.zeros_like(whole),
    )
    place, part = gauss(BOW_POINTS)
    before = np.zeros_like(whole)
    for piece, mesh in zip(span.pieces, own, strict=True):
        long = np.zeros_like(whole) + piece.length
        along = before[:, None] + long[:, None] * place
        wave = np.sin(math.pi * along / whole[:, None])
        weight = long[:, None] * part
        bent = curvatures(piece.section, long, place, piece.bubbles)
        bending = np.zeros_like(whole) + piece.section.bending
        strain = -((math.pi / whole) ** 2 * bending)[:, None] * wave * weight
        freedom = (bent @ strain[..., None])[..., 0]
        held += (at[:, mesh.freedom].swapaxes(1, 2) @ freedom[..., None])[..., 0]
        line = (np.zeros_like(whole) + piece.section.line_mass)[:, None] * wave * weight
        moved += line.sum(axis=1)
        turned += (line * along).sum(axis=1)
        before = before + long
    rear = -turned / whole
    return _Bow(held, -moved - rear, rear)

"""Triangles to pixels, compiled: which body is nearest, how far, and how its face stands.

Depth is kept as its inverse, which is linear in the picture over a flat face: so it is exact
between corners, and its bend tells an edge however the face lies.  0 is nowhere.

The loops are compiled once, and kept beside this file or in the user's cache.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

Image = NDArray[np.float32]
Numbers = NDArray[np.int32]
Bytes = NDArray[np.uint8]

EDGE, BORDER = np.float32(0.8), np.float32(0.75)
"""Bend of the inverse depth that is no edge yet, and how dark the border of a body is [-]."""

SLIVER, TINY = np.float32(-1e-9), np.float32(1e-20)
"""Area of a triangle that is seen from its edge [square pixels]; square of no normal at all."""

NARROW = 6
"""Pixels of a row up to which it is quicker to try them all."""

ZERO, HALF, ONE, TWO, MOST = (np.float32(n) for n in (0.0, 0.5, 1.0, 2.0, 255.0))
"""Numbers of single precision, so that everything stays in it."""


def compiled(function: Any) -> Any:
    """Compile a loop over pixels; it divides as numpy does, and is kept for the next process.

    Where neither this folder nor the user's cache can be written to, every process compiles anew.
    """
    try:
        return njit(cache=True, error_model="numpy", fastmath=True)(function)
    except RuntimeError:
        return njit(error_model="numpy", fastmath=True)(function)


@compiled
def inside(value: Any, step: Any, start: Any, stop: Any) -> Any:
    """Return the pixels of a row between two, in which a value that grows by steps is above 0."""
    if step > ZERO:
        start = max(start, -value / step)
    elif step < ZERO:
        stop = min(stop, -value / step)
    elif value < ZERO:
        stop = start - TWO
    return start, stop


@compiled
def fill(corner: Image, body: int, nearness: Image, number: Numbers, normal: Image) -> None:
    """Draw one triangle over what is there already, wherever it is nearer.

    Args:
        corner: Column, row, inverse depth [1/m] and normal of its corners, (3, 6).
        body: Its number.
        nearness: See ``cover``, (h, w).
        number: Likewise.
        normal: Likewise, (h, w, 3).
    """
    height, width = nearness.shape
    x0, y0, x1, y1, x2, y2 = (
        corner[0, 0], corner[0, 1], corner[1, 0], corner[1, 1], corner[2, 0], corner[2, 1],
    )  # fmt: skip
    area = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)
    if area >= SLIVER:  # rows count down: what faces the camera turns the other way
        return
    left = max(0, int(np.ceil(max(min(x0, x1, x2), ZERO) - HALF)))
    last = int(np.floor(min(max(x0, x1, x2), np.float32(width)) - HALF))
    top = max(0, int(np.ceil(max(min(y0, y1, y2), ZERO) - HALF)))
    bottom = int(np.floor(min(max(y0, y1, y2), np.float32(height)) - HALF))
    if left > last or top > bottom:
        return
    part = ONE / area
    first_step, second_step = (y1 - y2) * part, (y2 - y0) * part
    third_step = -first_step - second_step
    for y in range(top, bottom + 1):
        px, py = np.float32(left) + HALF, np.float32(y) + HALF
        first = ((x1 - px) * (y2 - py) - (x2 - px) * (y1 - py)) * part
        second = ((x2 - px) * (y0 - py) - (x0 - px) * (y2 - py)) * part
        begin, end = left, last
        if last - left > NARROW:
            start, stop = ZERO, np.float32(last - left)
            start, stop = inside(first, first_step, start, stop)
            start, stop = inside(second, second_step, start, stop)
            start, stop = inside(ONE - first - second, third_step, start, stop)
            begin, end = left + int(start), min(left + int(stop) + 1, last)
            first += first_step * np.float32(begin - left)
            second += second_step * np.float32(begin - left)
        for x in range(begin, end + 1):
            third = ONE - first - second
            if first >= ZERO and second >= ZERO and third >= ZERO:
                u, v, w = first * corner[0, 2], second * corner[1, 2], third * corner[2, 2]
                there = u + v + w
                if there > nearness[y, x]:
                    nearness[y, x] = there
                    number[y, x] = body
                    for n in range(3):
                        normal[y, x, n] = (
                            u * corner[0, 3 + n] + v * corner[1, 3 + n] + w * corner[2, 3 + n]
                        )
            first += first_step
            second += second_step


@compiled
def ahead_of(whole: Image, least: float, corner: Image) -> int:
    """Cut off what of a triangle lies before the least depth.

    Args:
        whole: Column and row times depth, depth [m] and normal of its corners, (3, 6).
        least: The least depth [m].
        corner: Corners of what is left, given back as ``fill`` takes them, (4, 6).

    Returns:
        How many corners are left: none, three or four.
    """
    count = 0
    for k in range(3):
        here, there = whole[k], whole[(k + 1) % 3]
        if here[2] >= least:
            corner[count] = here
            count += 1
        if (here[2] >= least) != (there[2] >= least):
            share = (least - here[2]) / (there[2] - here[2])
            corner[count] = here + share * (there - here)
            corner[count, 2] = least
            count += 1
    for k in range(count):
        inverse = ONE / corner[k, 2]
        corner[k, 0] *= inverse
        corner[k, 1] *= inverse
        corner[k, 2] = inverse
    return count


@compiled
def cover(
    points: Image,
    normals: Image,
    faces: Numbers,
    numbers: Numbers,
    pose: Image,
    onto: Image,
    least: float,
    nearness: Image,
    number: Numbers,
    normal: Image,
) -> None:
    """Draw triangles over what is there already, wherever they are nearer.

    Args:
        points: Corners in the axes of their group [m], (V, 3).
        normals: Outward unit normals there, (V, 3).
        faces: Three corners each, counter-clockwise from outside, (F, 3).
        numbers: Of the body of each face, (F,).
        pose: Of the group in the vehicle, (4, 4).
        onto: From a point of the group to its column and row, both times its depth, and its depth
            [pixels m, pixels m, m], (3, 4).
        least: Least depth that is drawn [m].
        nearness: Inverse depth [1/m], changed in place, (h, w).
        number: Body in each pixel, changed in place, (h, w).
        normal: Normal in the vehicle's axes, not of unit length, changed in place, (h, w, 3).
    """
    seen = np.empty((len(points), 3), np.float32)
    for i in range(len(points)):
        for k in range(3):
            seen[i, k] = (
                onto[k, 0] * points[i, 0]
                + onto[k, 1] * points[i, 1]
                + onto[k, 2] * points[i, 2]
                + onto[k, 3]
            )
    whole, corner = np.empty((3, 6), np.float32), np.empty((4, 6), np.float32)
    for f in range(len(faces)):
        i, j, k = faces[f, 0], faces[f, 1], faces[f, 2]
        # whichever way it faces is told before its depth divides: by the volume it spans to the eye
        turned = (
            seen[i, 0] * (seen[j, 1] * seen[k, 2] - seen[j, 2] * seen[k, 1])
            - seen[i, 1] * (seen[j, 0] * seen[k, 2] - seen[j, 2] * seen[k, 0])
            + seen[i, 2] * (seen[j, 0] * seen[k, 1] - seen[j, 1] * seen[k, 0])
        )
        if turned >= ZERO:
            continue
        for n in range(3):
            vertex = faces[f, n]
            a, b, c = normals[vertex, 0], normals[vertex, 1], normals[vertex, 2]
            for m in range(3):
                whole[n, m] = seen[vertex, m]
                whole[n, 3 + m] = pose[m, 0] * a + pose[m, 1] * b + pose[m, 2] * c
        count = ahead_of(whole, least, corner)
        if count >= 3:
            fill(corner, numbers[f], nearness, number, normal)
        if count == 4:
            corner[1] = corner[2]
            corner[2] = corner[3]
            fill(corner, numbers[f], nearness, number, normal)


@compiled
def edge_at(nearness: Image, number: Numbers, y: int, x: int, pixel: float) -> Any:
    """Return how dark an outline a pixel carries, from 0 to 1.

    Args:
        nearness: Inverse depth [1/m], (h, w).
        number: Body in each pixel, (h, w).
        y: Row of the pixel.
        x: Its column.
        pixel: Its width at unit depth [-].
    """
    height, width = nearness.shape
    if y == 0 or x == 0 or y == height - 1 or x == width - 1:
        return ZERO
    here, body = nearness[y, x], number[y, x]
    bend = max(
        abs(nearness[y, x - 1] + nearness[y, x + 1] - TWO * here),
        abs(nearness[y - 1, x] + nearness[y + 1, x] - TWO * here),
    )
    line = min(max(HALF * bend / (pixel * here) - EDGE, ZERO), ONE)
    if (
        number[y, x - 1] != body
        or number[y, x + 1] != body
        or number[y - 1, x] != body
        or number[y + 1, x] != body
    ):
        line = max(line, BORDER)
    return line


@compiled
def lit(
    nearness: Image,
    number: Numbers,
    normal: Image,
    colors: Image,
    toward: Image,
    lamp: Image,
    lights: Image,
    pixel: float,
    factor: int,
    picture: Image,
    bare: Image,
) -> None:
    """Light what was drawn, outline it, and take the mean of squares of pixels.

    Args:
        nearness: From ``cover``, (h, w).
        number: Likewise.
        normal: Likewise, (h, w, 3).
        colors: Of every body, 0 to 255, (B, 3).
        toward: Lines of sight: right, up and back of the camera in the vehicle's axes, the first
            two times the slopes at the edges of the picture, (3, 3).
        lamp: Unit direction to the lamp, (3,).
        lights: From all around, from the lamp, mirrored, from the sky, and how dark lines are [-].
        pixel: Width of a pixel at unit depth [-].
        factor: Pixels in a pixel of the picture, along each side.
        picture: What is given back, 0 to 255 times the share that is covered, (h/n, w/n, 3).
        bare: Share where nothing is, given back, (h/n, w/n).
    """
    height, width = nearness.shape
    around, straight, mirrored, sky, dark = lights
    share = ONE / np.float32(factor * factor)
    across, upward = np.float32(2 * factor / width), np.float32(2 * factor / height)
    for row in range(height // factor):
        up = ONE - (np.float32(row) + HALF) * upward
        for column in range(width // factor):
            right = (np.float32(column) + HALF) * across - ONE
            # half way between the lamp and the eye
            p = toward[2, 0] - right * toward[0, 0] - up * toward[1, 0]
            q = toward[2, 1] - right * toward[0, 1] - up * toward[1, 1]
            r = toward[2, 2] - right * toward[0, 2] - up * toward[1, 2]
            size = ONE / np.sqrt(p * p + q * q + r * r)
            p, q, r = p * size + lamp[0], q * size + lamp[1], r * size + lamp[2]
            size = ONE / np.sqrt(p * p + q * q + r * r)
            p, q, r = p * size, q * size, r * size
            red, green, blue, empty = ZERO, ZERO, ZERO, ZERO
            for y in range(row * factor, row * factor + factor):
                for x in range(column * factor, column * factor + factor):
                    body = number[y, x]
                    if body < 0:
                        empty += ONE
                        continue
                    a, b, c = normal[y, x, 0], normal[y, x, 1], normal[y, x, 2]
                    size = ONE / np.sqrt(a * a + b * b + c * c + TINY)
                    a, b, c = a * size, b * size, c * size
                    direct = max(a * lamp[0] + b * lamp[1] + c * lamp[2], ZERO)
                    shine = max(a * p + b * q + c * r, ZERO)
                    for _ in range(5):  # to the 32nd
                        shine = shine * shine
                    level = (around + straight * direct) * (ONE + sky * c)
                    glint = MOST * mirrored * shine
                    ink = ONE - dark * edge_at(nearness, number, y, x, pixel)
                    red += ink * min(colors[body, 0] * level + glint, MOST)
                    green += ink * min(colors[body, 1] * level + glint, MOST)
                    blue += ink * min(colors[body, 2] * level + glint, MOST)
            picture[row, column, 0] = red * share
            picture[row, column, 1] = green * share
            picture[row, column, 2] = blue * share
            bare[row, column] = empty * share


@compiled
def veiled(
    picture: Image, nearness: Image, veil: Image, planes: Bytes, steps: float, factor: int
) -> None:
    """Lay what is see-through over what stands behind it, in place.

    Args:
        picture: 0 to 255, (h/n, w/n, 3).
        nearness: Inverse depth of what is solid [1/m], (h, w).
        veil: The same of what is see-through, (h, w).
        planes: Red, green and blue as far as they are seen, and that share in steps, (h, w, 4).
        steps: Of a whole.
        factor: Pixels in a pixel of the picture, along each side.
    """
    share = 1.0 / (factor * factor)
    for row in range(picture.shape[0]):
        for column in range(picture.shape[1]):
            red, green, blue, hidden = 0.0, 0.0, 0.0, 0.0
            for y in range(row * factor, row * factor + factor):
                for x in range(column * factor, column * factor + factor):
                    if veil[y, x] > nearness[y, x]:
                        red += planes[y, x, 0]
                        green += planes[y, x, 1]
                        blue += planes[y, x, 2]
                        hidden += planes[y, x, 3]
            if hidden > 0.0:
                left = 1.0 - hidden * share / steps
                picture[row, column, 0] = picture[row, column, 0] * left + red * share
                picture[row, column, 1] = picture[row, column, 1] * left + green * share
                picture[row, column, 2] = picture[row, column, 2] * left + blue * share


@compiled
def outlined(nearness: Image, number: Numbers, pixel: float, line: Image) -> None:
    """Give back how dark an outline each pixel carries, from 0 to 1, (h, w)."""
    for y in range(nearness.shape[0]):
        for x in range(nearness.shape[1]):
            line[y, x] = edge_at(nearness, number, y, x, pixel) if number[y, x] >= 0 else 0.0

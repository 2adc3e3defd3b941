"""Reads sheets of paper back with libraries that did not write them: pdfium and pypdf."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pypdf
import pypdfium2

MM = 72 / 25.4


def texts(path: Path) -> list[str]:
    """The text of each page, its lines as they stand."""
    with pypdfium2.PdfDocument(path) as document:
        return [page.get_textpage().get_text_bounded().replace("\r\n", "\n") for page in document]


def words(path: Path) -> str:
    """All text of all pages in one line, so that a wrapped sentence can be looked for."""
    return " ".join(" ".join(texts(path)).split())


def sizes(path: Path) -> list[tuple[float, float]]:
    """Width and height of each page [mm]."""
    with pypdfium2.PdfDocument(path) as document:
        return [(page.get_width() / MM, page.get_height() / MM) for page in document]


def fonts(path: Path) -> dict[str, bool]:
    """Whether each font that the file names is embedded, by its name."""
    found = {}
    for page in pypdf.PdfReader(path).pages:
        for font in (page["/Resources"].get("/Font") or {}).values():
            description = font.get_object().get("/FontDescriptor")
            held = description is not None and "/FontFile2" in description.get_object()
            found[str(font.get_object()["/BaseFont"])] = held
    return found


def raster(path: Path, page: int = 0, dpi: float = 100) -> np.ndarray:
    """A page as gray levels, 0 black to 255 white, rows from the top."""
    with pypdfium2.PdfDocument(path) as document:
        return np.array(document[page].render(scale=dpi / 72, grayscale=True).to_numpy()).squeeze()


def least_margin(path: Path, page: int = 0, dpi: float = 100) -> float:
    """The least distance of any ink to an edge of the page [mm]."""
    inked = raster(path, page, dpi) < 128
    rows, columns = np.flatnonzero(inked.any(axis=1)), np.flatnonzero(inked.any(axis=0))
    ends = (rows[0], columns[0], inked.shape[0] - 1 - rows[-1], inked.shape[1] - 1 - columns[-1])
    return float(min(ends)) * 25.4 / dpi


def check_sheet(path: Path, paper: str, pages: int | None = None) -> None:
    """Hold what is asked of every sheet: size, margins, fonts, black on white."""
    width, height = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}[paper]
    found = sizes(path)
    assert pages is None or len(found) == pages
    np.testing.assert_allclose(found, [(width, height)] * len(found), atol=0.01)
    assert min(least_margin(path, page) for page in range(len(found))) >= 11.6
    names = fonts(path)
    assert names
    assert all(names.values()), names
    assert all("DejaVuSans" in name for name in names)


def circles(ink: np.ndarray, radius: float) -> list[tuple[float, float]]:
    """Centers of circles of a radius in the ink of a page at 300 dpi, from its top left [mm].

    Looked for at 100 dpi by how much of a ring is ink and how little of the ring inside it is; then
    a circle is fitted to the ink of the ring (least squares), crosses through its center left out.
    """
    high, wide = ink.shape[0] // 3, ink.shape[1] // 3
    rough = ink[: high * 3, : wide * 3].reshape(high, 3, wide, 3).any(axis=(1, 3))
    around = _ring(rough, radius, 100) - _ring(rough, radius * 0.8, 100)
    found: list[tuple[float, float]] = []
    for row, column in np.argwhere(around > 0.6):
        place = column * 25.4 / 100, row * 25.4 / 100
        if all(np.hypot(*np.subtract(one, place)) >= radius for one in found):
            found.append(place)
    return [circle_at(ink, one, radius) for one in found]


def _ring(ink: np.ndarray, radius: float, dpi: float) -> np.ndarray:
    """Which share of a ring about every pixel is ink."""
    share = np.zeros(ink.shape)
    for angle in np.linspace(0, 2 * np.pi, 48, endpoint=False) + 0.05:
        way = radius * dpi / 25.4 * np.array([np.sin(angle), np.cos(angle)])
        share += np.roll(ink, tuple(-np.rint(way).astype(int)), axis=(0, 1))
    return share / 48


def circle_at(ink: np.ndarray, place: tuple[float, float], radius: float) -> tuple[float, float]:
    """Center of the circle about a place in the ink of a page at 300 dpi [mm]."""
    pixel, (x, y), reach = 25.4 / 300, place, radius + 2
    top, left = (max(int((one - reach) / pixel), 0) for one in (y, x))
    size = int(2 * reach / pixel)
    rows, columns = np.nonzero(ink[top : top + size, left : left + size])
    across, drop = (columns + left + 0.5) * pixel, (rows + top + 0.5) * pixel
    for _ in range(4):
        right, down = across - x, drop - y
        ring = np.abs(np.hypot(right, down) - radius) < 0.6
        ring &= (np.abs(right) > 0.5) & (np.abs(down) > 0.5)
        right, down = right[ring], down[ring]
        # (x - a)² + (y - b)² = r² is linear in a, b and r² - a² - b²
        known = np.column_stack((2 * right, 2 * down, np.ones(len(right))))
        (a, b, _), *_ = np.linalg.lstsq(known, right**2 + down**2, rcond=None)
        x, y = x + a, y + b
    return float(x), float(y)


def place_of(path: Path, page: int, text: str) -> tuple[float, float]:
    """The middle of the first place of a text on a page, from the top left corner [mm]."""
    with pypdfium2.PdfDocument(path) as document:
        sheet = document[page]
        words = sheet.get_textpage()
        index, count = words.search(text, match_case=True, match_whole_word=True).get_next()
        boxes = np.array([words.get_charbox(index + k) for k in range(count)])
        low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
        (x, y), height = (low + high) / 2, sheet.get_height()
        return float(x / MM), float((height - y) / MM)

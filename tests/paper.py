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

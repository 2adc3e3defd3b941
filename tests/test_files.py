from __future__ import annotations

from pathlib import Path

import pytest

from sim.errors import DomainError
from sim.show.files import plain_name, write_text, write_with


@pytest.mark.parametrize(
    "name",
    ["", ".", "..", "../up", "a/b", "a\\b", ".hidden", "a\n", "a\x00", "con", "NUL.txt", "x" * 101,
     "ends.", "ends ", "-option"],
)  # fmt: skip
def test_a_name_that_is_not_plain_is_refused(name: str) -> None:
    with pytest.raises(DomainError, match="cannot be the name of a file"):
        plain_name(name)


@pytest.mark.parametrize("name", ["two-piece", "sweep.csv", "Höhe 2", "still_whole.png", "3 + 1"])
def test_a_plain_name_comes_back_unchanged(name: str) -> None:
    assert plain_name(name) == name


def test_a_writer_that_fails_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    path = write_text(tmp_path / "report.html", "old")

    def fail(temporary: Path) -> None:
        temporary.write_text("half", encoding="utf-8")
        raise OSError("disk full")

    with pytest.raises(OSError, match="disk full"):
        write_with(path, fail)
    assert path.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_text_is_written_as_utf8_with_plain_line_ends_into_a_folder_that_is_made(
    tmp_path: Path,
) -> None:
    path = write_text(tmp_path / "new" / "a.txt", "±\n")
    assert path.read_bytes() == b"\xc2\xb1\n"


def test_who_reads_a_file_while_it_is_written_anew_reads_the_old_one_whole(tmp_path: Path) -> None:
    path = write_text(tmp_path / "a.txt", "old")
    with path.open(encoding="utf-8") as reader:
        write_text(path, "new")
        assert reader.read() == "old"
    assert path.read_text(encoding="utf-8") == "new"

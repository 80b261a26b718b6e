"""Files are written whole or not at all, and never over an existing one unless told to."""

import os
import stat

import pytest

from airside.errors import OutputError
from airside.files import check_free, write_whole


def left(folder):
    return sorted(p.name for p in folder.iterdir())


def test_text_is_written_as_utf_8_and_bytes_as_they_are(tmp_path):
    assert write_whole(tmp_path / "a.txt", "23 °C\n") == tmp_path / "a.txt"
    assert (tmp_path / "a.txt").read_bytes() == "23 °C\n".encode()
    write_whole(str(tmp_path / "b.bin"), b"\x00\xff")
    assert (tmp_path / "b.bin").read_bytes() == b"\x00\xff"
    assert left(tmp_path) == ["a.txt", "b.bin"]


def test_an_existing_file_is_left_as_it_is(tmp_path):
    file = tmp_path / "a.txt"
    file.write_text("first")
    with pytest.raises(OutputError, match=r"exists already and is left as it is.*add --force"):
        write_whole(file, "second")
    assert file.read_text() == "first"
    assert left(tmp_path) == ["a.txt"]


def test_an_existing_file_is_replaced_when_told_to(tmp_path):
    file = tmp_path / "a.txt"
    file.write_text("first")
    write_whole(file, "second", force=True)
    assert file.read_text() == "second"
    assert left(tmp_path) == ["a.txt"]


def test_the_message_names_the_way_to_replace(tmp_path):
    (tmp_path / "a").write_text("")
    with pytest.raises(OutputError, match="add the tick"):
        check_free(tmp_path / "a", option="the tick")


def test_a_file_that_appears_in_the_meantime_is_left_as_it_is(tmp_path, monkeypatch):
    file = tmp_path / "a.txt"
    link = os.link

    def late(source, target):
        file.write_text("of another program")
        link(source, target)

    monkeypatch.setattr(os, "link", late)
    with pytest.raises(OutputError, match="exists already"):
        write_whole(file, "ours")
    assert file.read_text() == "of another program"
    assert left(tmp_path) == ["a.txt"]


def test_a_place_without_hard_links(tmp_path, monkeypatch):
    def refuse(*_):
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    write_whole(tmp_path / "a.txt", "whole")
    assert (tmp_path / "a.txt").read_text() == "whole"
    assert left(tmp_path) == ["a.txt"]


@pytest.mark.parametrize("force", [False, True])
def test_a_full_disk_leaves_nothing_and_the_old_file_as_it_was(tmp_path, monkeypatch, force):
    file = tmp_path / "a.txt"
    if force:
        file.write_text("old")

    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match=r"a\.txt: cannot be written \(No space left on device\)"):
        write_whole(file, "new", force=force)
    assert left(tmp_path) == (["a.txt"] if force else [])
    if force:
        assert file.read_text() == "old"


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (".", "is a folder"),
        ("none/a.txt", "the folder .*none does not exist"),
        ("file/a.txt", "file is a file, not a folder"),
        ("n" * 300, "File name too long"),
    ],
)
def test_places_where_no_file_can_be(tmp_path, place, words):
    (tmp_path / "file").write_text("x")
    for act in (lambda p: check_free(p), lambda p: write_whole(p, "y", force=True)):
        with pytest.raises(OutputError, match=words):
            act(tmp_path / place)
    assert left(tmp_path) == ["file"]
    assert (tmp_path / "file").read_text() == "x"


def test_a_name_as_long_as_a_name_can_be(tmp_path):
    write_whole(tmp_path / ("n" * 250), "x")
    assert left(tmp_path) == ["n" * 250]


@pytest.mark.skipif(os.name == "nt", reason="rights of POSIX")
def test_the_file_has_the_rights_of_any_new_file(tmp_path):
    (tmp_path / "usual").write_text("x")
    write_whole(tmp_path / "ours", "x")
    usual, ours = (stat.S_IMODE((tmp_path / n).stat().st_mode) for n in ("usual", "ours"))
    assert ours == usual

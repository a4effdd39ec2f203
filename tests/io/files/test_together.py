"""Files changed together: what was cut off is finished or told, what is in the way is told, links stay."""

from __future__ import annotations

import errno
import json
import os
import shutil
import threading
from dataclasses import replace
from pathlib import Path

import pytest

import mytakeoff as mt
from mytakeoff.io.files import journal, turn
from mytakeoff.io.files.atomic import read_together, write_all
from mytakeoff.io.files.journal import JOURNAL, STAGE, half_done

OLD, NEW = (
    {"a.txt": b"old a", "b.txt": b"old b"},
    {"a.txt": b"new a", "b.txt": b"new b", "in/c.txt": b"new c"},
)


@pytest.fixture
def place(tmp_path: Path) -> Path:
    place = tmp_path / "place"
    (place / "in").mkdir(parents=True)
    for name, content in OLD.items():
        (place / name).write_bytes(content)
    return place


def write_new(place: Path) -> None:
    write_all({place / name: content for name, content in NEW.items()})


@pytest.fixture
def cut_off(place: Path, monkeypatch: pytest.MonkeyPatch):
    """A function that writes the new files and is cut off before the n-th of them is put in place."""

    def write(nth: int) -> Path:
        real, seen = os.replace, iter(range(100))

        def replaced(source, target):
            if next(seen) == nth + 1:  # the first one puts the journal in place
                raise KeyboardInterrupt
            real(source, target)

        with monkeypatch.context() as patched:
            patched.setattr(os, "replace", replaced)
            with pytest.raises(KeyboardInterrupt):
                write_new(place)
        assert half_done(place)
        return place

    return write


def read(place: Path) -> dict[str, bytes]:
    return read_together(place, NEW, lambda: {path.name: path.read_bytes() for path in place.glob("*.txt")})


def test_what_was_cut_off_is_finished_by_who_reads(cut_off, files):
    place = cut_off(1)
    assert (place / "a.txt").read_bytes() == b"new a"
    assert (place / "b.txt").read_bytes() == b"old b"
    assert read(place) == {"a.txt": b"new a", "b.txt": b"new b"}
    assert files(place) == NEW


def test_what_was_cut_off_is_finished_before_anything_else_is_written(cut_off, files):
    place = cut_off(0)
    write_all({place / "b.txt": b"later"})
    assert files(place) == {**NEW, "b.txt": b"later"}


def test_a_file_edited_since_is_not_written_over(cut_off, files):
    place = cut_off(1)
    (place / "b.txt").write_bytes(b"edited by hand")
    before = files(place)
    for act in (read, write_new):
        with pytest.raises(mt.TakeoffError) as caught:
            act(place)
        [mistake] = caught.value.mistakes
        assert mistake.found == "a save was cut off: a.txt as saved; in/c.txt as before; b.txt edited since"
        assert f"delete the folder {STAGE}" in mistake.remedy
        assert files(place) == before
    shutil.rmtree(place / STAGE)
    assert read(place) == {"a.txt": b"new a", "b.txt": b"edited by hand"}


def test_an_edit_of_the_old_files_stands_where_nothing_was_put_in_place(cut_off, files):
    place = cut_off(0)
    (place / "b.txt").write_bytes(b"edited by hand")
    assert read(place) == {"a.txt": b"old a", "b.txt": b"edited by hand"}
    assert files(place) == {"a.txt": b"old a", "b.txt": b"edited by hand"}


def test_an_edit_of_the_new_files_stands(cut_off, files):
    place = cut_off(2)
    (place / "in/c.txt").write_bytes(b"written by hand")
    assert read(place) == {"a.txt": b"new a", "b.txt": b"new b"}
    assert files(place) == {**NEW, "in/c.txt": b"written by hand"}


def test_a_part_that_is_not_what_was_laid_ready_is_not_put_in_place(cut_off):
    place = cut_off(1)
    for part in (place / STAGE).glob("*.part"):
        part.write_bytes(b"torn")
    with pytest.raises(mt.TakeoffError, match=r"a\.txt as saved; b\.txt, in/c\.txt as before"):
        read(place)
    assert (place / "b.txt").read_bytes() == b"old b"


def test_in_a_folder_that_cannot_be_written_to_it_is_told(cut_off, files, monkeypatch):
    place = cut_off(1)
    before, real = files(place), os.open

    def read_only(path, flags, *rest, **more):
        if flags & (os.O_CREAT | os.O_RDWR | os.O_WRONLY):
            raise OSError(errno.EROFS, "Read-only file system", str(path))
        return real(path, flags, *rest, **more)

    monkeypatch.setattr(os, "open", read_only)
    with pytest.raises(mt.TakeoffError, match=r"cut off here.*Read-only.*copy the folder to where"):
        read(place)
    with pytest.raises(mt.TakeoffError, match="Read-only file system"):
        write_new(place)
    monkeypatch.undo()
    assert files(place) == before


@pytest.mark.parametrize(
    "said",
    [
        b"{", b"7", b"[7]", b'[{"file": "a.txt"}]', b"[" * 10_000,
        [{"file": "../a.txt", "part": None, "was": None, "becomes": None}],
        [{"file": "a.txt", "part": "../a.txt", "was": None, "becomes": "0"}],
        [{"file": "a.txt", "part": None, "was": None, "becomes": "0"}],
        [{"file": 7, "part": None, "was": None, "becomes": None}],
    ],
)  # fmt: skip
def test_a_journal_that_this_program_does_not_write_is_told_and_not_followed(place, files, said):
    (place / STAGE).mkdir()
    (place / STAGE / JOURNAL).write_bytes(said if isinstance(said, bytes) else json.dumps(said).encode())
    before = files(place)
    for act in (read, write_new):
        with pytest.raises(mt.TakeoffError, match=rf"{JOURNAL} cannot be read.*delete the folder {STAGE}"):
            act(place)
    assert files(place) == before


def test_a_journal_moves_nothing_out_of_the_folder_through_a_link(place):
    outside = place.parent / "outside"
    outside.mkdir()
    (place / "out").symlink_to(outside)
    (place / STAGE).mkdir()
    (place / STAGE / "0123456789abcdef.part").write_bytes(b"x")
    change = journal.FileChange(
        "out/x", "0123456789abcdef.part", None, journal.digest(place / STAGE / "0123456789abcdef.part")
    )
    (place / STAGE / JOURNAL).write_text(json.dumps([vars(change)]))
    with pytest.raises(mt.TakeoffError, match="cannot be read"):
        write_new(place)
    assert not any(outside.iterdir())


def test_nothing_is_laid_ready_through_a_link(place):
    outside = place.parent / "outside"
    outside.mkdir()
    (place / STAGE).symlink_to(outside)
    with pytest.raises(mt.TakeoffError, match="a link of this name leads elsewhere"):
        write_new(place)
    assert not any(outside.iterdir())


def test_parts_that_nobody_needs_are_swept_and_nothing_else(place, files):
    (place / STAGE).mkdir()
    for name in ("0123456789abcdef.part", "mine.txt", "chapter.part"):
        (place / STAGE / name).write_bytes(b"x")
    write_new(place)
    assert files(place) == {**NEW, f"{STAGE}/mine.txt": b"x", f"{STAGE}/chapter.part": b"x"}


def test_a_link_stays_a_link_and_the_file_behind_it_is_changed(place, files):
    (place / "a.txt").rename(place / "in/real.txt")
    (place / "a.txt").symlink_to("in/real.txt")
    write_new(place)
    assert (place / "a.txt").readlink() == Path("in/real.txt")
    assert files(place) == {**NEW, "in/real.txt": b"new a"}


def test_a_link_that_leads_elsewhere_is_replaced(place):
    outside = place.parent / "outside.txt"
    (place / "a.txt").rename(outside)
    (place / "a.txt").symlink_to(outside)
    write_new(place)
    assert not (place / "a.txt").is_symlink()
    assert outside.read_bytes() == b"old a"


def test_the_rights_of_a_file_stay(place):
    (place / "a.txt").chmod(0o640)
    write_new(place)
    assert (place / "a.txt").stat().st_mode & 0o777 == 0o640


def test_a_folder_that_goes_away_meanwhile_is_told(place, monkeypatch):
    real = os.replace

    def replaced(source, target):
        shutil.rmtree(place)
        real(source, target)

    monkeypatch.setattr(os, "replace", replaced)
    with pytest.raises(mt.TakeoffError, match="No such file"):
        write_new(place)


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="which file is flushed is looked up there")
def test_parts_are_on_the_disk_before_the_journal_and_that_before_the_files(place, monkeypatch):
    """What a power cut may lose is what was not flushed: so this is the order, by argument."""
    done: list[tuple[str, str]] = []
    flush, rename, unlink = os.fsync, os.replace, Path.unlink

    def kind(path) -> str:
        path = Path(path)
        return "part" if path.suffix == ".part" else str(path.relative_to(place))

    monkeypatch.setattr(os, "fsync", lambda handle: (
        done.append(("flush", kind(os.readlink(f"/proc/self/fd/{handle}")))), flush(handle)))  # fmt: skip
    monkeypatch.setattr(os, "replace", lambda source, target: (
        done.append(("put", kind(target))), rename(source, target)))  # fmt: skip
    monkeypatch.setattr(Path, "unlink", lambda path, missing_ok=False: (
        done.append(("remove", kind(path))), unlink(path, missing_ok)))  # fmt: skip
    write_new(place)
    assert done == [
        ("flush", "part"), ("flush", "part"), ("flush", "part"),
        ("flush", "part"), ("flush", STAGE), ("put", f"{STAGE}/{JOURNAL}"), ("flush", STAGE), ("flush", "."),
        ("put", "a.txt"), ("put", "b.txt"), ("put", "in/c.txt"), ("flush", "."), ("flush", "in"),
        ("remove", f"{STAGE}/{JOURNAL}"), ("remove", turn.LOCK_FILE),
    ]  # fmt: skip


class TestTakingTurns:
    def test_two_at_a_time_take_turns(self, place, files):
        """Each writes both files alike, again and again: they are never of two writers."""
        wrong = []

        def write(name: bytes) -> None:
            for nth in range(20):
                content = name + str(nth).encode()
                write_all({place / "a.txt": content, place / "b.txt": content})

        writers = [threading.Thread(target=write, args=(name,)) for name in (b"one", b"two")]
        for writer in writers:
            writer.start()
        while any(writer.is_alive() for writer in writers):
            found = read(place)
            if found["a.txt"][-4:] != found["b.txt"][-4:] and found["a.txt"] != b"old a":
                wrong.append(found)
        assert wrong == []
        assert set(files(place)) == set(OLD)

    def test_who_waits_too_long_is_told(self, place, files, monkeypatch):
        monkeypatch.setattr(turn, "PATIENCE_S", 0.0)
        with turn.turn_in(place), pytest.raises(mt.TakeoffError, match="another program is writing"):
            write_new(place)
        assert files(place) == OLD

    def test_a_lock_file_is_not_followed_out_of_the_folder(self, place):
        (place / turn.LOCK_FILE).symlink_to(place.parent / "elsewhere")
        with pytest.raises(mt.TakeoffError):
            write_new(place)
        assert not (place.parent / "elsewhere").exists()


def test_files_that_change_with_each_reading_are_told(place):
    def changing() -> None:
        write_new(place)

    with pytest.raises(mt.TakeoffError, match="changed each time that they were read"):
        read_together(place, NEW, changing)


def test_a_reader_that_was_overtaken_reads_again(place):
    seen = []

    def overtaken() -> bytes:
        first = (place / "a.txt").read_bytes()
        if not seen:
            seen.append(first)
            write_new(place)
        return first + (place / "b.txt").read_bytes()

    assert read_together(place, NEW, overtaken) == b"new anew b"


def test_a_link_to_the_job_file_stays_a_link(folder):
    (folder / "job.toml").rename(folder / "surveys/flat.toml")
    (folder / "job.toml").symlink_to("surveys/flat.toml")
    mt.save_job(replace(mt.open_job(folder), waste_share=0.2), folder)
    assert (folder / "job.toml").is_symlink()
    assert mt.open_job(folder).waste_share == 0.2

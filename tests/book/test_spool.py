"""The spool: what was synced is there after a crash, and a torn end hides nothing before it."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.book.spool import (
    SpooledBlock,
    begin_spool,
    is_held,
    left_spools,
    live_folder,
    read_spool,
    remove_spool,
    reopen_spool,
)
from asfound.problems import BadInputError, ConflictError, StorageError

ABOUT = {"of": "a session"}


def block(number, count=7):
    values = np.arange(count, dtype=np.float32) + number
    return SpooledBlock(3, number * count, number % 2 == 1, values)


def plain(record):
    if isinstance(record, dict):
        return record
    return (record.epoch, record.frame, record.doubtful, record.samples.tolist())


def written(folder):
    """Write a spool of blocks and words; return it with its records and the size of the file after each."""
    spool = begin_spool(folder, "one", ABOUT)
    records, sizes = [], [spool.size]
    for number in range(6):
        spool.append(block(number))
        records.append(plain(block(number)))
        sizes.append(spool.size)
        if number % 2:
            spool.tell({"after": number})
            records.append({"after": number})
            sizes.append(spool.size)
    spool.sync()
    spool.close()
    return spool.path, records, sizes


def test_what_goes_in_comes_out(tmp_path: Path) -> None:
    path, records, _ = written(tmp_path)
    spooled = read_spool(path)
    assert spooled.about == ABOUT
    assert [plain(one) for one in spooled.records()] == records


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_a_spool_cut_at_any_byte_keeps_every_record_before_the_cut(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    path, records, sizes = written(tmp_path_factory.mktemp("cut"))
    whole = path.read_bytes()
    cut = data.draw(st.integers(sizes[0], len(whole)))
    path.write_bytes(whole[:cut])
    kept = sum(size <= cut for size in sizes) - 1
    assert [plain(one) for one in read_spool(path).records()] == records[:kept]
    spool = reopen_spool(path)
    spool.append(block(99))
    spool.close()
    assert [plain(one) for one in read_spool(path).records()] == [*records[:kept], plain(block(99))]


@given(data=st.data())
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_damaged_byte_ends_the_spool_where_it_is(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    path, records, sizes = written(tmp_path_factory.mktemp("damaged"))
    whole = bytearray(path.read_bytes())
    at = data.draw(st.integers(sizes[0], len(whole) - 1))
    whole[at] ^= data.draw(st.integers(1, 255))
    path.write_bytes(bytes(whole))
    kept = sum(size <= at for size in sizes) - 1
    assert [plain(one) for one in read_spool(path).records()] == records[:kept]


@pytest.mark.parametrize("content", [b"", b"asfound", b"asfound spool 1\n", b'asfound spool 1\n{"of"', b"RIFFxxxx"])
def test_a_spool_that_broke_off_in_its_head_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "torn.spool"
    path.write_bytes(content)
    with pytest.raises(BadInputError, match="no spool"):
        read_spool(path)


def test_left_spools_are_found_and_removed(tmp_path: Path) -> None:
    assert left_spools(tmp_path) == ()
    path, _, _ = written(tmp_path)
    (live_folder(tmp_path) / "other.txt").write_text("no spool")
    assert left_spools(tmp_path) == (path,)
    remove_spool(path)
    remove_spool(path)
    assert left_spools(tmp_path) == ()


class Full:
    """A file on a disk that is full after so many bytes."""

    def __init__(self, file, room):
        self.file, self.room = file, room

    def write(self, content):
        if self.room <= 0:
            raise OSError(28, "No space left on device")
        taken = self.file.write(bytes(content[: self.room]))
        self.room -= taken
        return taken

    def __getattr__(self, name):
        return getattr(self.file, name)


def test_a_full_disk_leaves_no_half_record(tmp_path: Path) -> None:
    spool = begin_spool(tmp_path, "full", ABOUT)
    spool.append(block(0))
    spool._file = Full(spool._file, 10)
    with pytest.raises(StorageError, match="disk is full"):
        spool.append(block(1))
    spool._file = spool._file.file
    spool.append(block(2))
    spool.close()
    assert [plain(one) for one in read_spool(spool.path).records()] == [plain(block(0)), plain(block(2))]


def test_a_spool_has_one_writer_at_a_time(tmp_path: Path) -> None:
    first = begin_spool(tmp_path, "one", ABOUT)
    assert is_held(first.path)
    with pytest.raises(ConflictError, match="another server"):
        reopen_spool(first.path)
    first.close()
    assert not is_held(first.path)
    again = reopen_spool(first.path)
    assert is_held(first.path)
    again.close()
    remove_spool(first.path)
    assert list(live_folder(tmp_path).iterdir()) == []


def test_a_spool_that_cannot_be_gone_on_with_is_let_go_of(tmp_path: Path) -> None:
    path, _, _ = written(tmp_path)
    path.write_bytes(b"no spool")
    with pytest.raises(BadInputError):
        reopen_spool(path)
    assert not is_held(path)

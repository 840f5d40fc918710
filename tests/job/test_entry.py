"""The stored bytes of an entry are canonical, hashed, and read back to the same entry."""

import hashlib
import json

import pytest

from asfound.job.bodies import Note, ReadingTaken, StepTaken
from asfound.job.clock import Stamp, next_stamp
from asfound.job.entry import canonical_bytes, entry_hash, read_entry
from asfound.problems import AsfoundError
from asfound.quantity import CameraState, Reading
from asfound.teardown import FastenerGroup


def bodies():
    reading = Reading(value=0.35, unit="mm", standard_uncertainty=0.01, state=CameraState(dial="B", aperture=3.5))
    yield Note(text="Ölfilm auf den Lamellen — 鏡")
    yield ReadingTaken(quantity="height", reading=reading, raw=("0.35 drag",))
    yield StepTaken(action="off", part="ring", fasteners=(FastenerGroup(count=3, thread="M1.4", length_mm=2.0),))


@pytest.mark.parametrize("body", list(bodies()), ids=lambda body: body.kind)
def test_an_entry_read_back_is_the_same_to_the_byte(bench, body):
    stored = canonical_bytes(bench.write(body))
    assert read_entry(stored) == bench.entries[-1]
    assert canonical_bytes(read_entry(stored)) == stored


def test_the_hash_is_sha_256_of_the_stored_bytes(bench):
    stored = canonical_bytes(bench.entries[0])
    assert entry_hash(stored) == hashlib.sha256(stored).hexdigest()


def test_each_entry_names_the_hash_of_the_one_before(bench):
    second = bench.write(Note(text="x"))
    assert second.previous == entry_hash(canonical_bytes(bench.entries[0]))


def test_an_entry_of_a_newer_program_is_refused_by_name(bench):
    raw = json.loads(canonical_bytes(bench.entries[0])) | {"schema_version": 99}
    with pytest.raises(AsfoundError, match="newer asfound"):
        read_entry(json.dumps(raw).encode())


@pytest.mark.parametrize("stored", [b"", b"{", b"[]", b'{"schema_version": 1}', b"null"])
def test_broken_bytes_are_said_to_be_broken(stored):
    with pytest.raises(AsfoundError, match="cannot be read"):
        read_entry(stored)


def test_the_clock_never_goes_back_even_when_the_wall_does():
    first = next_stamp(latest=None, wall_ms=1000)
    second = next_stamp(latest=first, wall_ms=400)
    third = next_stamp(latest=second, wall_ms=1001)
    assert first < second < third
    assert Stamp.read(str(second)) == second

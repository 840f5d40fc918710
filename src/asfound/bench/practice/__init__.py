"""A practice job on an invented camera, to learn the bench book on."""

from asfound.bench.practice.writing import write_practice_job, write_recordings

__all__ = ["write_practice_job", "write_recordings"]

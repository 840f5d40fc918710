"""Entries, their fold into the job as it stands, and what follows from it."""

from asfound.job.cautions import DEFERENCE, Caution, cautions_for
from asfound.job.clock import Stamp, next_stamp
from asfound.job.entry import SCHEMA_VERSION, Entry, canonical_bytes, entry_hash, read_entry
from asfound.job.fold import fold
from asfound.job.job import FaultNow, Job, Kept, PartNow, key
from asfound.job.restoring import offer_of, order_taken, readings_to_restore, way_back_of
from asfound.job.summary import Summary, summarise, summary, waits_for
from asfound.job.waits import Waiting

__all__ = [
    "DEFERENCE",
    "SCHEMA_VERSION",
    "Caution",
    "Entry",
    "FaultNow",
    "Job",
    "Kept",
    "PartNow",
    "Stamp",
    "Summary",
    "Waiting",
    "canonical_bytes",
    "cautions_for",
    "entry_hash",
    "fold",
    "key",
    "next_stamp",
    "offer_of",
    "order_taken",
    "read_entry",
    "readings_to_restore",
    "summarise",
    "summary",
    "waits_for",
    "way_back_of",
]

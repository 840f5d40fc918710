"""What is to be proved of a camera before it goes, and what speaks for each thing."""

from asfound.job.proving.evidence import Taken
from asfound.job.proving.prooflist import (
    ProofLine,
    Standing,
    focus_budget_of,
    line_called,
    proof_list,
    unsettled,
)
from asfound.job.proving.saying import in_plain_words
from asfound.job.proving.wanted import GROUPS, Wanted, wanted_of

__all__ = [
    "GROUPS",
    "ProofLine",
    "Standing",
    "Taken",
    "Wanted",
    "focus_budget_of",
    "in_plain_words",
    "line_called",
    "proof_list",
    "unsettled",
    "wanted_of",
]

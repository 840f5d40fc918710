"""What is handed over on paper: the report, the card, the labels."""

from asfound.report.content import HandoverContent, handover_content
from asfound.report.handover import handover_pdf
from asfound.report.still_open import open_items

__all__ = ["HandoverContent", "handover_content", "handover_pdf", "open_items"]

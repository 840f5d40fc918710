"""What is handed over on paper: the report, the card, the labels."""

from asfound.report.card import Card, StoppedSpeed, camera_card, camera_card_pdf
from asfound.report.content import HandoverContent, handover_content
from asfound.report.handover import handover_pdf
from asfound.report.labels import Label, job_label, labels_pdf, labels_sheet_pdf, tray_labels
from asfound.report.record_readings import InstrumentCheck
from asfound.report.still_open import open_items

__all__ = [
    "Card",
    "HandoverContent",
    "InstrumentCheck",
    "Label",
    "StoppedSpeed",
    "camera_card",
    "camera_card_pdf",
    "handover_content",
    "handover_pdf",
    "job_label",
    "labels_pdf",
    "labels_sheet_pdf",
    "open_items",
    "tray_labels",
]

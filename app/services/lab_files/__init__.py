"""Lab reports from files and pasted text: read, guessed with reasons, looked at, then stored whole or not at all."""

from app.services.lab_files.previews import LabPreview, SampleSeen
from app.services.lab_files.takes import (
    answer_questions,
    paste_report,
    preview_file,
    send_file,
    take_file,
)

__all__ = [
    "LabPreview",
    "SampleSeen",
    "answer_questions",
    "paste_report",
    "preview_file",
    "send_file",
    "take_file",
]

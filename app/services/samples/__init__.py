"""Forage samples and what the lab found in them.

Others call `lot_quality(work, farm_id)`: what is known about each lot, with its error, in one query.
"""

from app.services.samples.edits import (
    FIELD,
    HEAD,
    SAMPLE_SHAPE,
    add_sample,
    check_may_edit,
    edit_sample,
    head_values,
    line_of,
    lines_of,
    places,
    read_sample,
    remove_sample,
    restore_sample,
    sample_shape,
    seen_lines,
)
from app.services.samples.groups import GROUPS, Entry, Group, entry_of
from app.services.samples.pages import LotSamplesPage, SamplesPage, SampleView, lot_page, sample_view, samples_page
from app.services.samples.quality import LotQuality, Mean, lot_quality
from app.services.samples.values import Line

__all__ = [
    "FIELD",
    "GROUPS",
    "HEAD",
    "SAMPLE_SHAPE",
    "Entry",
    "Group",
    "Line",
    "LotQuality",
    "LotSamplesPage",
    "Mean",
    "SampleView",
    "SamplesPage",
    "add_sample",
    "check_may_edit",
    "edit_sample",
    "entry_of",
    "head_values",
    "line_of",
    "lines_of",
    "lot_page",
    "lot_quality",
    "places",
    "read_sample",
    "remove_sample",
    "restore_sample",
    "sample_shape",
    "sample_view",
    "samples_page",
    "seen_lines",
]

"""The yard list of a cutting: drawn from what the plan needs, worked through by everyone at once."""

from app.services.checklists.drawing import draw_list, recount_needs
from app.services.checklists.edits import (
    access_item,
    access_list,
    add_item,
    add_note,
    edit_item,
    move_item,
    remove_item,
    restore_item,
    say_on_item,
    tick_item,
    untick_item,
)
from app.services.checklists.lines import ItemLine
from app.services.checklists.pages import DueGroup, ListPage, due_group, item_line, list_page
from app.services.checklists.shapes import ITEM_SHAPE, NOTE_SHAPE, START_SHAPE, item_shape
from app.services.checklists.start import Start, agree_start, coming_cutting, start_of
from app.services.checklists.story import Told, story_of
from app.services.checklists.summary import NextDue, ReadinessSummary, readiness_summary

__all__ = [
    "ITEM_SHAPE",
    "NOTE_SHAPE",
    "START_SHAPE",
    "DueGroup",
    "ItemLine",
    "ListPage",
    "NextDue",
    "ReadinessSummary",
    "Start",
    "Told",
    "access_item",
    "access_list",
    "add_item",
    "add_note",
    "agree_start",
    "coming_cutting",
    "draw_list",
    "due_group",
    "edit_item",
    "item_line",
    "item_shape",
    "list_page",
    "move_item",
    "readiness_summary",
    "recount_needs",
    "remove_item",
    "restore_item",
    "say_on_item",
    "start_of",
    "story_of",
    "tick_item",
    "untick_item",
]

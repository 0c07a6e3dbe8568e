"""The farm's feed against its herd: the balance, what is tried, what is kept, and the board's figures on need."""

from app.services.balance.board import NeedBoard, board_of, need_board
from app.services.balance.cases import Case, Must, Short
from app.services.balance.inputs import Loaded, load
from app.services.balance.keep import keep_what_if
from app.services.balance.page import BalancePage, balance_of, farm_balance
from app.services.balance.what_if import WHAT_IF_SHAPE, WhatIf, present_values, what_if_of

__all__ = [
    "WHAT_IF_SHAPE",
    "BalancePage",
    "Case",
    "Loaded",
    "Must",
    "NeedBoard",
    "Short",
    "WhatIf",
    "balance_of",
    "board_of",
    "farm_balance",
    "keep_what_if",
    "load",
    "need_board",
    "present_values",
    "what_if_of",
]

"""What people do with supplies: byproducts and bought feed on hand and on contract, with their deliveries."""

from app.services.supplies.deliveries import (
    access_delivery,
    add_delivery,
    edit_delivery,
    expect_again,
    receive_delivery,
    remove_delivery,
)
from app.services.supplies.edits import (
    access_supply,
    add_supply,
    edit_supply,
    list_removed,
    remove_supply,
    restore_supply,
)
from app.services.supplies.on_hand import (
    LoadCheck,
    SupplyOnHand,
    check_load,
    list_supplies_on_hand,
    supply_page,
)
from app.services.supplies.shapes import DELIVERY_SHAPE, LOAD_CHECK_SHAPE, SUPPLY_SHAPE, supply_shape

__all__ = [
    "DELIVERY_SHAPE",
    "LOAD_CHECK_SHAPE",
    "SUPPLY_SHAPE",
    "LoadCheck",
    "SupplyOnHand",
    "access_delivery",
    "access_supply",
    "add_delivery",
    "add_supply",
    "check_load",
    "edit_delivery",
    "edit_supply",
    "expect_again",
    "list_removed",
    "list_supplies_on_hand",
    "receive_delivery",
    "remove_delivery",
    "remove_supply",
    "restore_supply",
    "supply_page",
    "supply_shape",
]

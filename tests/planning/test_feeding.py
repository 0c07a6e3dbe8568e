"""What a balance is made of."""

from app.nutrition.demand import Convention
from app.planning.assumptions import resolve
from app.planning.feeding import farm_rules


def test_a_farms_own_values_reach_the_rules_of_its_balance():
    own = resolve({"carry_over_d": 60, "shrink_convention": "multiply", "storage_loss_pile_frac": 0.15, "blend_d": 7})
    rules = farm_rules(own, structure="pile")
    assert (rules.carry_over_d, rules.convention, rules.storage_frac, rules.blend_d) == (
        60,
        Convention.MULTIPLY,
        0.15,
        7,
    )
    assert rules.ndf_ceiling_frac == {"milking": 0.42, "growing": 0.46, "dry": 0.54}

"""Exact conversion factors. Multiply to get the unit the code keeps; divide to get back.

The pound, foot, inch and acre are exact by the 1959 international agreement; everything else follows from them.
"""

KG_PER_LB = 0.45359237
LB_PER_SHORT_TON = 2000.0
KG_PER_SHORT_TON = LB_PER_SHORT_TON * KG_PER_LB
KG_PER_TONNE = 1000.0

M_PER_FT = 0.3048
CM_PER_IN = 2.54
KM_PER_MILE = 1.609344
MM_PER_IN = 25.4
UM_PER_MIL = 25.4

M2_PER_FT2 = M_PER_FT**2
M3_PER_FT3 = M_PER_FT**3
M2_PER_ACRE = 43560 * M2_PER_FT2
HA_PER_ACRE = M2_PER_ACRE / 10_000

KG_M3_PER_LB_FT3 = KG_PER_LB / M3_PER_FT3
KG_HA_PER_TON_ACRE = KG_PER_SHORT_TON / HA_PER_ACRE
KG_HA_PER_LB_ACRE = KG_PER_LB / HA_PER_ACRE
PER_M2_PER_FT2 = 1 / M2_PER_FT2

F_D_PER_C_D = 1.8
"""Degree-days Fahrenheit above 41 F in one degree-day Celsius above 5 C (41 F is 5 C exactly)."""


def celsius(temp_f):
    """Degrees Celsius of a reading in degrees Fahrenheit (float or array)."""
    return (temp_f - 32.0) / 1.8


def fahrenheit(temp_c):
    """Degrees Fahrenheit of a reading in degrees Celsius (float or array)."""
    return temp_c * 1.8 + 32.0

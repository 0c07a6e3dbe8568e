"""Bacteria for the crop: how much product, how fast it flows, what was really applied, and when it pays."""

from app.ensiling.limits import Values, dry_matter, within

RATE_LEAST_CFU_G = 1e5
"""Per gram of fresh forage, fermentation bacteria; read in [Muck2010]_."""


SAVING_FRAC = {"homofermentative": (0.0, 0.02, 0.03), "heterofermentative": (0.0, 0.01, 0.02)}
"""Dry matter saved: low, likely, high. 2-3 points read in [Schroeder2016]_ for well-run bunkers, the rest judged."""

SAVING_PRACTICE_FRAC = 0.035
"""Common practice, no source: seen in no independent summary of trials; show it labelled, never as the default."""


def cells_needed(mass_af_kg: Values, rate_cfu_g: Values = RATE_LEAST_CFU_G) -> Values:
    """Live cells that a mass of crop asks for.

    Parameters
    ----------
    mass_af_kg : float or array, crop as fed [kg]
    rate_cfu_g : float or array, cells per gram of fresh crop [cfu/g]

    Returns
    -------
    float or array of the same shape [cfu]

    Valid
    -----
    Live product, spread evenly at the chopper.

    Raises
    ------
    OutOfRange
        Mass outside 0-1e9 kg or rate outside 1e3-1e8 cfu/g.

    Example
    -------
    >>> f"{cells_needed(907.18474):.3e}"
    '9.072e+10'

    Source
    ------
    [Muck2010]_, 100,000 per gram (product derived).
    """
    return _mass(mass_af_kg) * 1000 * _cells(rate_cfu_g)


def product_mass(mass_af_kg: Values, label_cfu_g: Values, rate_cfu_g: Values = RATE_LEAST_CFU_G) -> Values:
    """Inoculant that a mass of crop asks for.

    Parameters
    ----------
    mass_af_kg : float or array, crop as fed [kg]
    label_cfu_g : float or array, cells per gram of product, from its label [cfu/g]
    rate_cfu_g : float or array, cells per gram of fresh crop [cfu/g]

    Returns
    -------
    float or array of the same shape, product [kg]

    Valid
    -----
    As `cells_needed`; the label's own rate rules where it is higher.

    Raises
    ------
    OutOfRange
        As `cells_needed`, or a label outside 1e6-1e13 cfu/g.

    Example
    -------
    >>> round(product_mass(1500 * 907.18474, 4e10) * 1000)
    3402

    Source
    ------
    [Muck2010]_, rate (product derived).
    """
    return cells_needed(mass_af_kg, rate_cfu_g) / _label(label_cfu_g) / 1000


def achieved_rate(product_kg: Values, label_cfu_g: Values, mass_af_kg: Values) -> Values:
    """Cells per gram of crop that were really applied.

    Parameters
    ----------
    product_kg : float or array, product used up [kg]
    label_cfu_g : float or array, cells per gram of product [cfu/g]
    mass_af_kg : float or array, crop treated, as fed [kg], at least 1 kg

    Returns
    -------
    float or array of the same shape [cfu/g of crop]

    Valid
    -----
    Product alive as on the label.

    Raises
    ------
    OutOfRange
        Product outside 0-10,000 kg, a label outside 1e6-1e13 cfu/g or a mass outside 1-1e9 kg.

    Example
    -------
    >>> round(achieved_rate(3.402, 4e10, 1500 * 907.18474), -2)
    100000.0

    Source
    ------
    [Muck2010]_, rate solved backwards (derived).
    """
    used_g = within("product_kg", product_kg, 0.0, 10_000.0, 3.4) * 1000
    treated_g = within("mass_af_kg", mass_af_kg, 1.0, 1e9, 1_360_000.0) * 1000
    return used_g * _label(label_cfu_g) / treated_g


def liquid_flow(delivery_af_kg_h: Values, dose_l_kg: Values) -> Values:
    """Flow of the applicator that keeps up with the chopper.

    Parameters
    ----------
    delivery_af_kg_h : float or array, crop chopped, as fed [kg/h]
    dose_l_kg : float or array, liquid per kilogram of crop [L/kg]

    Returns
    -------
    float or array of the same shape [L/h]

    Valid
    -----
    Liquid applicators; check it several times a day.

    Raises
    ------
    OutOfRange
        Delivery outside 0-1,000,000 kg/h or dose outside 0-0.05 L/kg.

    Example
    -------
    >>> round(liquid_flow(100 * 907.18474, 8 * 0.0295735296 / 907.18474) / 3.785411784 / 60, 4)
    0.1042

    Source
    ------
    [Muck2010]_ on even application; the product is derived.
    """
    crop = within("delivery_af_kg_h", delivery_af_kg_h, 0.0, 1_000_000.0, 90_000.0)
    return crop * within("dose_l_kg", dose_l_kg, 0.0, 0.05, 0.00026)


def break_even_saving(cost_usd_kg: Values, dm_frac: Values, value_dm_usd_kg: Values) -> Values:
    """Share of the dry matter that an inoculant must save to pay for itself.

    Parameters
    ----------
    cost_usd_kg : float or array, cost per kilogram of crop as fed [usd/kg]
    dm_frac : float or array, dry matter of the crop [0-1]
    value_dm_usd_kg : float or array, value of the silage [usd/kg DM]

    Returns
    -------
    float or array of the same shape [0-1 of the DM]

    Valid
    -----
    Counts saved dry matter only, neither milk nor keeping quality.

    Raises
    ------
    OutOfRange
        Cost outside 0-1 usd/kg, dry matter outside 5-95 % or value outside 0.001-10 usd/kg.

    Example
    -------
    >>> round(break_even_saving(0.0011, 0.38, 0.25), 4)
    0.0116

    Source
    ------
    [Schroeder2016]_ for the points saved it is held against; the division is derived.
    """
    cost_dm = within("cost_usd_kg", cost_usd_kg, 0.0, 1.0, 0.0011) / dry_matter(dm_frac)
    return cost_dm / within("value_dm_usd_kg", value_dm_usd_kg, 0.001, 10.0, 0.25)


def _mass(mass_af_kg: Values) -> Values:
    return within("mass_af_kg", mass_af_kg, 0.0, 1e9, 1_360_000.0)


def _cells(rate_cfu_g: Values) -> Values:
    return within("rate_cfu_g", rate_cfu_g, 1e3, 1e8, 1e5)


def _label(label_cfu_g: Values) -> Values:
    return within("label_cfu_g", label_cfu_g, 1e6, 1e13, 4e10)

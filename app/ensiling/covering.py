"""Sheets, liners, rolls and weights that a bunker or pile needs."""

from typing import NamedTuple

import numpy as np

from app.ensiling.limits import Values, length, must_hold, plain, within
from app.ensiling.structures.pile import pile_top
from app.units.quantities import M2_PER_FT2, M_PER_FT

OVERLAP_M = 4 * M_PER_FT
EDGE_M = 4 * M_PER_FT
LINER_TUCK_M = 1.5 * M_PER_FT
"""Of the published 1-2 ft on the floor; [Kung2010]_."""

LINER_FOLD_M = 7 * M_PER_FT
"""Of the published 6-8 ft on to the silage; [Stone2005]_."""

TIRES_TOUCHING_PER_M2 = 0.25 / M2_PER_FT2
"""Full cover of passenger casings; 0.20-0.25 per ft2 from memory, and one state's limit."""


class Sheet(NamedTuple):
    """A sheet laid out flat, and its area."""

    length_m: Values
    width_m: Values
    area_m2: Values


def bunker_sheet(
    width_m: Values,
    height_m: Values,
    length_m: Values,
    *,
    crown_m: Values = 0.0,
    run_ratio: Values = 3.0,
    ramps_count: Values = 1,
    edge_m: Values = 0.0,
) -> Sheet:
    """Sheet that lies over a filled bunker, along its ramps and over its crown.

    Parameters
    ----------
    width_m, height_m, length_m, run_ratio, ramps_count : as in `structures.bunker.bunker_volume`
    crown_m : float or array, height of the crown above the level fill [m]
    edge_m : float or array, added to length and width for toe, back and folds together [m]

    Returns
    -------
    Sheet of floats or arrays [m, m, m2]

    Valid
    -----
    One layer; two sheets need it twice.

    Raises
    ------
    OutOfRange
        Sizes no bunker has, or ramps longer than the floor.

    Example
    -------
    >>> sheet = bunker_sheet(40 * 0.3048, 12 * 0.3048, 150 * 0.3048, crown_m=2 * 0.3048)
    >>> round(sheet.area_m2 / 0.3048**2)
    6108

    Source
    ------
    Developed surface (derived); practice of covering in [Kung2010]_.
    """
    w, h = length("width_m", width_m, 200.0), length("height_m", height_m, 15.0)
    s, k = within("run_ratio", run_ratio, 0.0, 20.0, 3.0), within("ramps_count", ramps_count, 0, 2, 1)
    level = length("length_m", length_m) - k * s * h
    must_hold(~np.less(level, -1e-9), "length_m must be at least ramps_count x run_ratio x height_m (for example 30).")
    edge = length("edge_m", edge_m, 20.0)
    along = level + k * h * (1 + s**2) ** 0.5 + edge
    across = 2 * ((w / 2) ** 2 + length("crown_m", crown_m, 6.0) ** 2) ** 0.5 + edge
    return Sheet(along, across, along * across)


def pile_sheet(
    base_width_m: Values,
    base_length_m: Values,
    height_m: Values,
    *,
    side_ratio: Values = 3.0,
    end_ratio: Values = 3.0,
    edge_m: Values = EDGE_M,
) -> Sheet:
    """Rectangle of sheeting that lies over a pile with an edge on all four sides.

    Parameters
    ----------
    base_width_m, base_length_m, height_m, side_ratio, end_ratio : as in `structures.pile.pile_top`
    edge_m : float or array, sheet on the ground on each side [m]

    Returns
    -------
    Sheet of floats or arrays [m, m, m2]; corners fold, so it is more than the surface

    Valid
    -----
    One layer.

    Raises
    ------
    OutOfRange
        As `pile_top`.

    Example
    -------
    >>> sheet = pile_sheet(100 * 0.3048, 250 * 0.3048, 12 * 0.3048)
    >>> round(sheet.width_m / 0.3048, 1), round(sheet.length_m / 0.3048, 1)
    (111.9, 261.9)

    Source
    ------
    Developed surface (derived); practice of covering in [Kung2010]_.
    """
    top = pile_top(base_width_m, base_length_m, height_m, side_ratio=side_ratio, end_ratio=end_ratio)
    edge, h = length("edge_m", edge_m, 10.0), length("height_m", height_m, 15.0)
    across = top.width_m + 2 * h * (1 + np.asarray(side_ratio) ** 2) ** 0.5 + 2 * edge
    along = top.length_m + 2 * h * (1 + np.asarray(end_ratio) ** 2) ** 0.5 + 2 * edge
    return Sheet(plain(along), plain(across), plain(along * across))


def pile_surface(
    base_width_m: Values, base_length_m: Values, height_m: Values, *, side_ratio: Values = 3.0, end_ratio: Values = 3.0
) -> Values:
    """True surface of a pile: its top and four slopes.

    Parameters
    ----------
    base_width_m, base_length_m, height_m, side_ratio, end_ratio : as in `structures.pile.pile_top`

    Returns
    -------
    float or array of the same shape [m2]

    Valid
    -----
    Plane slopes.

    Raises
    ------
    OutOfRange
        As `pile_top`.

    Example
    -------
    >>> round(pile_surface(100 * 0.3048, 250 * 0.3048, 12 * 0.3048) / 0.3048**2, -1)
    26080.0

    Source
    ------
    Exact surface (derived); slopes of 3:1 in [Bolsen2016]_.
    """
    top = pile_top(base_width_m, base_length_m, height_m, side_ratio=side_ratio, end_ratio=end_ratio)
    b, full = length("base_width_m", base_width_m, 300.0), length("base_length_m", base_length_m)
    h = length("height_m", height_m, 15.0)
    sides = h * (1 + np.asarray(side_ratio) ** 2) ** 0.5 * (full + top.length_m)
    ends = h * (1 + np.asarray(end_ratio) ** 2) ** 0.5 * (b + top.width_m)
    return plain(top.width_m * top.length_m + sides + ends)


def liner_area(
    wall_height_m: Values,
    wall_length_m: Values,
    *,
    walls_count: Values = 2,
    tuck_m: Values = LINER_TUCK_M,
    fold_m: Values = LINER_FOLD_M,
) -> Values:
    """Film that lines the side walls: a strip on the floor, up the wall, and over on to the silage.

    Parameters
    ----------
    wall_height_m, wall_length_m : float or array, wall [m]
    walls_count : float or array, walls to line
    tuck_m, fold_m : float or array, on the floor and over the silage [m]

    Returns
    -------
    float or array of the same shape [m2]

    Valid
    -----
    Bunkers.

    Raises
    ------
    OutOfRange
        Sizes no wall has.

    Example
    -------
    >>> round(liner_area(12 * 0.3048, 150 * 0.3048) / 0.3048**2)
    6150

    Source
    ------
    [Kung2010]_ for the floor, [Stone2005]_ for the fold (area derived).
    """
    up = length("tuck_m", tuck_m, 5.0) + length("wall_height_m", wall_height_m, 15.0) + length("fold_m", fold_m, 10.0)
    return up * length("wall_length_m", wall_length_m) * within("walls_count", walls_count, 0, 4, 2)


def strips(run_m: Values, roll_width_m: Values, overlap_m: Values = OVERLAP_M) -> Values:
    """Strips of one roll width that cover a run, overlapping each other.

    Parameters
    ----------
    run_m : float or array, distance to cover across the strips [m]
    roll_width_m : float or array, width of a roll [m]
    overlap_m : float or array, overlap of neighbours [m]

    Returns
    -------
    float or array of the same shape, whole strips

    Valid
    -----
    Rolls wider than the overlap.

    Raises
    ------
    OutOfRange
        An overlap as wide as the roll.

    Example
    -------
    >>> strips(261.9 * 0.3048, 50 * 0.3048)
    6.0

    Source
    ------
    Counting (derived); overlap of 3-4 ft or more is common practice, [Bolsen2016]_.
    """
    run, roll = length("run_m", run_m), length("roll_width_m", roll_width_m, 50.0, 0.5)
    lap = length("overlap_m", overlap_m, 10.0)
    must_hold(~np.greater_equal(lap, roll), "overlap_m must lie below roll_width_m (for example 1.2 of 15).")
    return plain(np.ceil(np.maximum(run - lap, 0.0) / (roll - lap) - 1e-9))


def rolls(strips_count: Values, strip_length_m: Values, roll_length_m: Values) -> Values:
    """Rolls that strips of one length are cut from, each strip in one piece.

    Parameters
    ----------
    strips_count : float or array, result of `strips`
    strip_length_m : float or array, length of a strip [m]
    roll_length_m : float or array, length of a roll [m]

    Returns
    -------
    float or array of the same shape, whole rolls

    Valid
    -----
    Rolls at least as long as a strip.

    Raises
    ------
    OutOfRange
        A strip longer than the roll.

    Example
    -------
    >>> rolls(6, 34.0, 90.0)
    3.0

    Source
    ------
    Counting (derived); overlap of sheets in [Bolsen2016]_.
    """
    strip, roll = length("strip_length_m", strip_length_m, low=0.1), length("roll_length_m", roll_length_m, low=0.1)
    must_hold(~np.less(roll, strip), "roll_length_m must be at least strip_length_m (for example 90 for 34).")
    return plain(np.ceil(within("strips_count", strips_count, 0, 10_000, 6) / np.floor(roll / strip)))


def tires(area_m2: Values, rate_per_m2: Values = TIRES_TOUCHING_PER_M2) -> Values:
    """Tires that hold a sheet down.

    Parameters
    ----------
    area_m2 : float or array, sheet to weight [m2]
    rate_per_m2 : float or array, tires per area

    Returns
    -------
    float or array of the same shape, tires, not rounded

    Valid
    -----
    Casings without exposed steel and standing water; the local rule on waste tires wins.

    Raises
    ------
    OutOfRange
        Area outside 0-200,000 m2 or rate outside 0-10 per m2.

    Example
    -------
    >>> round(tires(6108 * 0.3048**2))
    1527

    Source
    ------
    [NewYorkDec2007]_, up to 0.25 per ft2.
    """
    rate = within("rate_per_m2", rate_per_m2, 0.0, 10.0, 2.7)
    return within("area_m2", area_m2, 0.0, 200_000.0, 570.0) * rate


def tire_rate(diameter_m: Values, *, is_close_packed: bool = False) -> Values:
    """Touching tires per area, by their outside diameter.

    Parameters
    ----------
    diameter_m : float or array, outside diameter [m]
    is_close_packed : bool, each row set into the gaps of the last one, else in a square grid

    Returns
    -------
    float or array of the same shape [1/m2]

    Valid
    -----
    Tires of one size.

    Raises
    ------
    OutOfRange
        Diameter outside 0.3-2 m.

    Example
    -------
    >>> round(tire_rate(24 * 0.0254) * 0.3048**2, 3)
    0.25

    Source
    ------
    Packing of circles (derived); touching casings as [NewYorkDec2007]_ allows.
    """
    rate = 1 / within("diameter_m", diameter_m, 0.3, 2.0, 0.61) ** 2
    return rate * (2 / 3**0.5) if is_close_packed else rate


def gravel_bags(edge_m: Values, bag_length_m: Values) -> Values:
    """Gravel bags laid end to end along edges and seams.

    Parameters
    ----------
    edge_m : float or array, edges and seams together [m]
    bag_length_m : float or array, length of a filled bag [m]

    Returns
    -------
    float or array of the same shape, whole bags

    Valid
    -----
    Bags that touch.

    Raises
    ------
    OutOfRange
        Edge outside 0-10,000 m or bag outside 0.2-5 m.

    Example
    -------
    >>> gravel_bags(213.4, 1.2)
    178.0

    Source
    ------
    Counting (derived); weights on edges and seams in [Bolsen2016]_.
    """
    edge = within("edge_m", edge_m, 0.0, 10_000.0, 213.0)
    return plain(np.ceil(edge / within("bag_length_m", bag_length_m, 0.2, 5.0, 1.2) - 1e-9))

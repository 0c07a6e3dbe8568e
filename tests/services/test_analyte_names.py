"""Names on reports: what is known everywhere, and what a farm teaches."""

import pytest

from app.errors import Invalid, NotAllowed
from app.nutrition.lab import ANALYTES
from app.services import analyte_names as names
from app.services.analyte_names import Known, find_name


@pytest.mark.parametrize(
    ("printed", "code", "unit", "basis"),
    [
        ("Crude Protein", "CP", "", ""),
        ("CP, % DM", "CP", "%", "DM"),
        ("Protein as received", "CP", "", "AR"),
        ("Ammonia N, % CP", "NH3N", "%", "CP"),
        ("NDFD 30 hr", "NDFD30", "", ""),
        ("30-hr NDFD % NDF", "NDFD30", "%", "NDF"),
        ("NDF Digestibility, 48h", "NDFD48", "", ""),
        ("uNDFom240, %DM", "uNDF240", "%", "DM"),
        ("Nitrate-N (ppm)", "NO3N", "ppm", ""),
        ("NO3 ppm", "NO3N", "ppm NO3", ""),
        ("Lignin % NDF", "LIG", "%", "NDF"),
        ("Proteína cruda", "CP", "", ""),
        ("FDN", "aNDF", "", ""),
        ("Net energy lactation Mcal/lb", "NEL", "Mcal/lb", ""),
    ],
)
def test_names_labs_print_are_known(printed, code, unit, basis):
    assert find_name(printed, {}) == Known(code, unit, basis)


@pytest.mark.parametrize("printed", ["Nitrate", "Sugar", "Wibble", ""])
def test_names_of_two_meanings_and_none_are_not_guessed(printed):
    assert find_name(printed, {}) is None


def test_digestibility_takes_its_hours_from_the_column_and_never_guesses_them():
    assert find_name("NDFD", {}, 48).code == "NDFD48"
    assert find_name("NDFD", {}).code not in ANALYTES and find_name("NDFD 12 h", {}).code not in ANALYTES


def test_every_code_is_its_own_name():
    assert {find_name(code, {}).code for code in ANALYTES} == set(ANALYTES)


def test_the_farms_own_name_comes_first_with_its_unit_and_basis(work, team):
    acting = team.acts(work, "nutritionist")
    names.add_name(acting, team.farm.id, {"name": "Prot", "analyte": "SP", "unit": "%", "basis": "DM"})
    assert find_name(" PROT. ", names.own_names(acting, team.farm.id)) == Known("SP", "%", "DM", own=True)
    assert names.own_names(acting, team.farm.id).keys() == {"prot"}


@pytest.mark.parametrize("wrong", [{"unit": "Mcal/kg"}, {"basis": "NDF"}, {"name": "…"}])
def test_a_unit_or_basis_the_analyte_cannot_have_is_refused(work, team, wrong):
    with pytest.raises(Invalid):
        names.add_name(work, team.farm.id, {"name": "Prot", "analyte": "CP", "unit": None, "basis": None} | wrong)


def test_a_name_is_kept_once_and_a_removed_one_comes_back(work, team):
    row = names.add_name(work, team.farm.id, {"name": "Prot", "analyte": "CP"})
    with pytest.raises(Invalid):
        names.add_name(work, team.farm.id, {"name": "PROT", "analyte": "SP"})
    names.remove_name(work, team.farm.id, row.id)
    assert names.own_names(work, team.farm.id) == {}
    names.restore_name(work, team.farm.id, row.id)
    assert names.own_names(work, team.farm.id)["prot"].code == "CP"


def test_crew_teaches_no_names(work, team):
    with pytest.raises(NotAllowed):
        names.add_name(team.acts(work, "crew"), team.farm.id, {"name": "Prot", "analyte": "CP"})

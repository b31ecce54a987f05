"""Licences; addresses of legal texts as in the examples of dcterms:license (Darwin Core, TDWG)."""

import csv

import pytest

from portal.archive.licences import UnknownLicenceError, licence
from tests.conformance.standards import SHARED, needs_shared


def test_licence_has_the_address_of_its_legal_text() -> None:
    found = licence("CC-BY-4.0")

    assert found.legal_text == "http://creativecommons.org/licenses/by/4.0/legalcode"
    assert found.name == "Creative Commons Attribution 4.0 International"


def test_licence_that_aggregators_do_not_take_is_refused() -> None:
    with pytest.raises(UnknownLicenceError, match=r"not 'CC-BY-SA-4\.0'"):
        licence("CC-BY-SA-4.0")


@needs_shared
@pytest.mark.parametrize("spdx_id", ["CC0-1.0", "CC-BY-4.0", "CC-BY-NC-4.0"])
def test_licence_agrees_with_the_table_of_licences(spdx_id: str) -> None:
    path = SHARED / "standards" / "licences" / "licences.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        rows = {row["spdx_id"]: row for row in csv.DictReader(lines)}

    found = licence(spdx_id)

    assert (found.name, found.legal_text) == (
        rows[spdx_id]["name"],
        rows[spdx_id]["legalcode_uri"],
    )

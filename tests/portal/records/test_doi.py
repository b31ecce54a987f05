"""The form of a DOI (ISO 26324; the characters of a suffix are from memory)."""

import pytest
from pytest_django import Settings

from portal.records.doi import WrongDoiError, checked_doi, doi_address
from tests.factories.published import ReleaseFactory


@pytest.mark.parametrize(
    "doi", ["10.5555/12345678", "10.1000.10/abc", "10.123456789/A-b_c.d;e(f)/g:h"]
)
def test_doi_of_the_right_form_is_taken(doi: str) -> None:
    assert checked_doi(doi) == doi
    assert doi_address(doi) == f"https://doi.org/{doi}"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "10.5555",
        "10.5555/",
        "10.555/x",
        "11.5555/x",
        "10.5555/a b",
        "10.5555/a\n",
        '10.5555/a">',
        "doi:10.5555/x",
        "https://doi.org/10.5555/x",
        "10.5555/é",
    ],
)
def test_text_of_another_form_is_refused(text: str) -> None:
    with pytest.raises(WrongDoiError, match=r"10\.NNNN/suffix"):
        checked_doi(text)


@pytest.mark.parametrize(
    ("own", "of_dataset", "where"),
    [
        ("", "", "http://localhost:8000/releases/3"),
        ("", "10.5555/pits", "https://doi.org/10.5555/pits"),
        ("10.5555/pits-3", "10.5555/pits", "https://doi.org/10.5555/pits-3"),
    ],
)
def test_release_is_cited_by_its_doi_or_that_of_the_dataset(
    own: str, of_dataset: str, where: str, settings: Settings
) -> None:
    settings.PUBLIC_URL = "http://localhost:8000"
    settings.DATASET_DOI = of_dataset
    release = ReleaseFactory.build(number=3, title="Pits", doi=own)

    assert release.citation == f"Example Soil Survey Consortium (2025). Pits. Release 3. {where}"

"""Which of our media types an Accept header wants most (RFC 9110, section 12.5.1)."""

import pytest

from api.negotiation import preferred_type

OURS = ["application/json", "application/geo+json", "text/csv"]
JSON, GEOJSON, CSV = OURS


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        ("", JSON),
        ("*/*", JSON),
        ("application/*", JSON),
        ("text/*", CSV),
        ("application/geo+json, application/json;q=0.9", GEOJSON),
        ("*/*, text/csv", JSON),
        ("text/csv, */*", CSV),
        ("text/csv, */*;q=0.1", CSV),
        ("application/json;q=0, */*", GEOJSON),
        ("application/*;q=0.2, text/*;q=0.3", CSV),
        # The most specific range decides, wherever it stands.
        ("*/*;q=0.5, application/json;q=0.1, text/csv;q=0.2", GEOJSON),
        ("text/html, application/xml", None),
        ("text/csv;q=0", None),
        ("*/*;q=0", None),
        ("nonsense", None),
    ],
)
def test_most_wanted_type_is_found(header: str, expected: str | None) -> None:
    assert preferred_type(header, OURS) == expected

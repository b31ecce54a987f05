"""The quality report of a release."""

import pytest

from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db


@pytest.mark.usefixtures("three_releases")
def test_report_counts_what_the_rows_of_the_release_show(reader: Actor) -> None:
    report = reader.get("/api/v1/releases/2/quality").json()

    for collection, table in report["tables"].items():
        rows = reader.rows(f"/api/v1/{collection}?release=2&limit=1000")
        assert table["rows"] == len(rows) > 0
        assert table["missing"] == {
            name: sum(row[name] is None for row in rows) for name in table["missing"]
        }
        words = [row["verification"] for row in rows]
        assert table["tallies"]["verification"] == {one: words.count(one) for one in set(words)}
    assert {"sorting_minutes", "texture"} <= set(report["tables"]["pits"]["missing"])


@pytest.mark.usefixtures("three_releases")
def test_report_tells_of_each_test_how_many_records_it_ran_on(reader: Actor) -> None:
    report = reader.get("/api/v1/releases/2/quality").json()

    assert len(report["tests"]) > 30
    for test in report["tests"]:
        n_run = test["compliant"] + test["not_compliant"]
        # no test can run on more records than there are
        assert n_run + test["not_run"] <= report["tables"]["counts"]["rows"]
        expected = test["compliant"] / n_run if n_run else None
        assert test["share_compliant"] == expected


@pytest.mark.usefixtures("three_releases")
@pytest.mark.parametrize(("query", "status"), [("9/quality", 404), ("1/quality?by=x", 400)])
def test_report_of_nothing_is_refused(reader: Actor, query: str, status: int) -> None:
    assert reader.get(f"/api/v1/releases/{query}").status_code == status

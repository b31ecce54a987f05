"""The guide for notebooks: each of its lines is run, and gives the figures of the API.

The same lines stand in README.md.
"""

from pathlib import Path
from typing import Any

import pytest

from portal.publication.files import build_files
from portal.records.models import Release
from tests.factories.pairs import dig
from tests.factories.published import PublishedVisitFactory
from tests.journeys.actors import Actor

READ = """\
import json
import pandas
import pyarrow.parquet
from portal.statistics.tallies import tally_pits

table = pyarrow.parquet.read_table("counts.parquet")
said = {name.decode(): text.decode() for name, text in table.schema.metadata.items()}
counts = table.to_pandas()
tallies = tally_pits(counts.to_dict("records"), json.loads(said["comparable_kits"]))
print(said["citation"], tallies.left_out)
"""
DENSITY = """\
from portal.statistics.density import density_sentence, pooled_density
from portal.statistics.samples import PitSample

pits = pandas.DataFrame(
    [pit.traits | {"found": pit.number, "steps": pit.steps} for pit in tallies.pits]
)
lawns = pits[(pits.habitat == "lawn") & (pits.steps == "hand_sort + expellant")]
density = pooled_density(PitSample("lawn", tuple(lawns.found), tuple(lawns.area_m2)))
print(density_sentence("lawn", density))
"""
COMPARISON = """\
from portal.statistics.contrasts import Contrast, Pairing, compare_sides
from portal.statistics.sides import read_side

sides = read_side("habitat", "lawn"), read_side("habitat", "flower bed")
answer = compare_sides(tallies.pits, Contrast(*sides, Pairing.PAIRED))
for comparison in answer.comparisons:
    print(comparison.sentence)
"""


@pytest.fixture
def notebook(release: Release, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """Return the names of a notebook whose folder holds the downloaded table."""
    # Rows as a table holds them: null numbers, null and empty lists of management
    visit = PublishedVisitFactory.create()
    dig(visit, 3, habitat="hedge", management=None, management_state="not_known")
    dig(visit, None, habitat="lawn", management=[])  # a blank line: no pit for a density
    build_files(release, at=release.issued_at)
    (tmp_path / "counts.parquet").write_bytes(Actor().download("/files/1/1/counts.parquet").read())
    monkeypatch.chdir(tmp_path)
    return {}


def run(notebook: dict[str, Any], *cells: str) -> None:
    for cell in cells:
        exec(cell, notebook)  # noqa: S102 -- the guide's own lines


def test_table_says_how_to_cite_it(
    notebook: dict[str, Any], release: Release, capsys: pytest.CaptureFixture[str]
) -> None:
    run(notebook, READ)

    assert capsys.readouterr().out == f"{release.citation} {{'not entered': 1}}\n"
    assert notebook["said"]["licence"] == "CC-BY-4.0"
    assert len(notebook["counts"]) == 2 * 8 + 2 * 8 + 1 + 2 + 1 + 2


def test_density_in_pandas_is_that_of_the_summary(
    notebook: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    run(notebook, READ, DENSITY)

    (served,) = Actor().get("/api/v1/summary?habitat=lawn&expellant=done").json()["data"]
    assert capsys.readouterr().out.splitlines()[1:] == [served["sentence"]]
    assert round(notebook["density"].per_m2, 2) == served["density_per_m2"]
    assert round(notebook["density"].upper_per_m2, 2) == served["upper_per_m2"]


def test_comparison_in_pandas_is_that_of_the_api(
    notebook: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    run(notebook, READ, COMPARISON)

    address = "/api/v1/comparison?by=habitat&first=lawn&second=flower%20bed&pairing=paired"
    served = Actor().get(address).json()
    assert " ".join(capsys.readouterr().out.splitlines()[1:]) == served["sentence"]
    assert "No clear difference between lawn and flower bed" in served["sentence"]


def test_comparison_by_management_reads_lists_of_a_table(notebook: dict[str, Any]) -> None:
    by_management = COMPARISON.replace('"habitat", "lawn"', '"management", "direct drilled"')
    by_management = by_management.replace('"habitat", "flower bed"', '"management", "ploughed"')

    run(notebook, READ, by_management)

    (comparison,) = notebook["answer"].comparisons
    assert comparison.finding.ratio == pytest.approx(83 / 27)


def test_lines_stand_in_the_readme_word_for_word() -> None:
    readme = (Path(__file__).parents[3] / "README.md").read_text()

    assert all(block in readme for block in (READ, DENSITY, COMPARISON))

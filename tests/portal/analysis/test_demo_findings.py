"""What the demonstration must show, read from its last release as anybody would.

The bands are those of the design, for all pits together before mistakes and consent; a release
holds fewer pits and keeps kits apart. So a finding of the commonest kit must have the verdict that
the story tells, and its interval must reach the band.
"""

import pytest

from portal.analysis.findings import answers_of, deep_animals_of
from portal.analysis.report import report_of
from portal.demo.runner import seed_demo
from portal.demo.scenario import build
from portal.records.models import Release
from portal.statistics.contrasts import Comparison
from portal.statistics.tallies import DRENCHED, SORTED_ONLY
from tests.portal.demo.measures import BANDS

COMMONEST = "contrast-pit/1 + contrast-pit/2"
SHOWN = {
    "tillage": "direct drilled / ploughed",
    "pasture": "old pasture / ploughed",
    "dryness": "dry / moist",
}
NOT_SHOWN = {"garden": "lawn / flower bed"}


@pytest.mark.slow
@pytest.mark.django_db
def test_demo_tells_its_story() -> None:
    seed_demo(build())
    release = Release.objects.get(number=2)

    found = findings_of(release)

    for key, band in SHOWN.items():
        assert found[key].finding.clear, found[key].sentence
        assert reaches(found[key], BANDS[band]), found[key].sentence
    for key, band in NOT_SHOWN.items():
        assert not found[key].finding.clear, found[key].sentence
        assert reaches(found[key], BANDS[band]), found[key].sentence
    school = [group for group in deep_animals_of(release) if group.kit == "school-pit/1"]
    assert {(group.steps, group.density) for group in school} == {(SORTED_ONLY, None)}
    assert report_of(release) == report_of(release)


def findings_of(release: Release) -> dict[str, Comparison]:
    """Return the finding of the commonest kit, drenched, for each question that has one."""
    return {
        answered.question.key: comparison
        for answered in answers_of(release)
        for comparison in answered.comparisons
        if (comparison.kit, comparison.steps) == (COMMONEST, DRENCHED)
    }


def reaches(comparison: Comparison, band: tuple[float, float]) -> bool:
    lower, upper = comparison.finding.interval or (0.0, None)
    return lower <= band[1] and (upper is None or upper >= band[0])

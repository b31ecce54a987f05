"""The whole demonstration, played once: everything goes as told, and the last release tells it.

The bands are those of the design, for all pits together before mistakes and consent. A release
holds fewer pits and keeps kits apart; the findings of the commonest kit, drenched, must lie inside
the bands all the same, with the verdict that the story tells.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile, is_zipfile

import pytest
from django.core.files.storage import default_storage
from django.test import override_settings
from pytest_django import DjangoDbBlocker

from portal.analysis.findings import DeepAnimals, answers_of, deep_animals_of
from portal.analysis.report import report_of
from portal.archive.release_files import Kind, kinds_to_build
from portal.checkarchive.inspection import inspect_archive
from portal.demo.runner import seed_demo
from portal.demo.scenario import build
from portal.demo.stage import Stage
from portal.records.changes import release_changes
from portal.records.models import PublishedVisit, Release, ReleaseFile
from portal.records.queries import build_of
from portal.statistics.contrasts import Comparison
from portal.statistics.tallies import DRENCHED, SORTED_ONLY
from surveys.visits.models import Visit
from tests.journeys.archives import records_of
from tests.modules import undone_at_the_end
from tests.portal.demo.measures import BANDS

pytestmark = [pytest.mark.slow, pytest.mark.django_db]

COMMONEST = "contrast-pit/1 + contrast-pit/2"
# Question, its band, and whether its difference may be called clear.
CLEAR, NOT_CLEAR, EITHER = {True}, {False}, {True, False}
STORY = (
    ("tillage-paired", "direct drilled / ploughed", CLEAR),
    ("tillage", "direct drilled / ploughed", CLEAR),
    ("pasture", "old pasture / ploughed", CLEAR),
    ("dryness", "dry / moist", CLEAR),
    ("mulch", "mulched / not", EITHER),
    ("garden", "lawn / flower bed", NOT_CLEAR),
)
WITHOUT_DEEP_ADULTS = (
    ("crop field, ploughed", "no deep adult, ploughed"),
    ("old pasture", "no deep adult, old pasture"),
    ("lawn", "no deep adult, lawn"),
)


@dataclass(frozen=True)
class Played:
    """What the play left behind besides the rows."""

    stage: Stage | None
    files: Path


@pytest.fixture(scope="module")
def played(
    django_db_setup: None,
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Played]:
    del django_db_setup
    files = tmp_path_factory.mktemp("files")
    with django_db_blocker.unblock(), undone_at_the_end(MEDIA_ROOT=files):
        yield Played(seed_demo(build()), files)


@pytest.fixture(scope="module")
def findings(played: Played) -> dict[str, Comparison]:
    """Return the finding of the commonest kit, drenched, for each question that has one."""
    del played
    return {
        answered.question.key: comparison
        for answered in answers_of(Release.objects.get(number=2))
        for comparison in answered.comparisons
        if (comparison.kit, comparison.steps) == (COMMONEST, DRENCHED)
    }


@pytest.fixture(scope="module")
def deep_animals(played: Played) -> tuple[DeepAnimals, ...]:
    del played
    return deep_animals_of(Release.objects.get(number=2))


def test_scenario_plays_as_told(played: Played) -> None:
    stage = played.stage

    assert stage is not None
    assert (stage.missed(), stage.refused) == ([], [])
    assert stage.counts["visits stored"] == 153  # 152 and one that two people sent
    assert stage.counts["visits rejected"] == 7
    assert (stage.counts["batches replayed"], stage.counts["keys refused"]) == (1, 1)
    assert Visit.objects.filter(state="accepted").count() >= 135
    assert PublishedVisit.objects.at(2).count() >= 115


def test_publication_keeps_approved_notes_and_nothing_private(played: Played) -> None:
    remarks = set(PublishedVisit.objects.values_list("remarks", flat=True))

    published = "\n".join([files_text(2, played.files), *remarks])
    assert any("\N{HERB}" in text for text in remarks)  # a note that a reviewer approved
    assert [word for word in ("01632", "Ottalie", "Sallowmere") if word in published] == []


@pytest.mark.parametrize(("question", "band", "verdicts"), STORY)
def test_finding_lies_in_its_band_with_the_verdict_of_the_story(
    findings: dict[str, Comparison], question: str, band: str, verdicts: set[bool]
) -> None:
    finding = findings[question].finding

    least, most = BANDS[band]
    assert finding.ratio is not None
    assert least <= finding.ratio <= most, finding.sentence
    assert finding.clear in verdicts, finding.sentence


@pytest.mark.parametrize(("ground", "band"), WITHOUT_DEEP_ADULTS)
def test_share_of_pits_without_deep_adults_lies_in_its_band(
    deep_animals: tuple[DeepAnimals, ...], ground: str, band: str
) -> None:
    wanted = (COMMONEST, DRENCHED, ground)

    (found,) = [one for one in deep_animals if (one.kit, one.steps, one.ground) == wanted]

    least, most = BANDS[band]
    assert found.n_without is not None
    assert least <= found.n_without / found.n_pits <= most, found.sentence


def test_school_pits_say_nothing_about_deep_animals(deep_animals: tuple[DeepAnimals, ...]) -> None:
    school = [group for group in deep_animals if group.kit == "school-pit/1"]

    assert {(group.steps, group.density) for group in school} == {(SORTED_ONLY, None)}


def test_report_is_the_same_to_the_byte_when_written_again(played: Played) -> None:
    del played
    release = Release.objects.get(number=2)

    assert report_of(release) == report_of(release)


@pytest.mark.parametrize("number", [1, 2])
@pytest.mark.parametrize("form", ["archive.zip", "flat-archive.zip"])
def test_archive_has_no_finding(played: Played, number: int, form: str) -> None:
    report = inspect_archive(stored(played, number, form))

    assert [finding.as_line() for finding in report.findings] == []


@pytest.mark.parametrize("number", [1, 2])
def test_files_built_again_are_the_same_to_the_byte(played: Played, number: int) -> None:
    del played
    release = Release.objects.get(number=number)
    kept = release.files.filter(build=build_of(release))

    assert {file.name: file.sha256 for file in kept} == {
        kind.name: hashlib.sha256(written(kind, release)).hexdigest() for kind in kinds_to_build()
    }


@pytest.mark.parametrize("kind", ["visit", "pit", "occurrence"])
def test_changes_of_the_last_release_are_the_difference_of_the_two_archives(
    played: Played, kind: str
) -> None:
    before, after = (records_of(stored(played, n, "archive.zip"))[kind] for n in (1, 2))

    told: dict[str, set[str]] = {"added": set(), "changed": set(), "removed": set()}
    for record, change in release_changes(2, kind):
        # A line that nobody counted has no row in an archive.
        if str(record) in before.keys() | after.keys():
            told[change].add(str(record))
    both = before.keys() & after.keys()
    assert told["added"] == after.keys() - before.keys()
    assert told["removed"] == before.keys() - after.keys()
    # Rows of lines and pits carry what is said of their visit, so its change is theirs as well.
    assert {one for one in both if before[one].own != after[one].own} <= told["changed"]
    assert told["changed"] <= {one for one in both if before[one] != after[one]}
    assert told["added"]


def stored(played: Played, number: int, name: str) -> Path:
    """Return where a file of the newest build lies."""
    file = ReleaseFile.objects.filter(release=number, name=name).latest("build")
    return played.files / file.storage_name


def written(kind: Kind, release: Release) -> bytes:
    target = BytesIO()
    kind.write(release, target)
    return target.getvalue()


def files_text(release: int, folder: Path) -> str:
    """Return the text of all files of a release, archives unpacked; Parquet stays packed."""
    texts = []
    with override_settings(MEDIA_ROOT=folder):
        for file in ReleaseFile.objects.filter(release=release, gone_at__isnull=True):
            with default_storage.open(file.storage_name) as stored:
                content = stored.read()
            if is_zipfile(BytesIO(content)):
                archive = ZipFile(BytesIO(content))
                texts += [archive.read(name).decode() for name in archive.namelist()]
            else:
                texts.append(content.decode(errors="ignore"))
    assert texts
    return "\n".join(texts)

"""The command, end to end at the small size."""

from collections import Counter
from dataclasses import dataclass
from io import StringIO
from typing import Any

import pytest
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError
from django.test import override_settings
from django.utils import timezone
from pytest_django import DjangoDbBlocker

from portal.demo.runner import seed_demo
from portal.demo.scenario import build
from portal.demo.streams import demo_id
from portal.records.models import PublishedPit, PublishedVisit, Release, ReleaseFile, Tombstone
from surveys.audit.operations import first_broken_entry
from surveys.intake.idempotency import Answer
from surveys.intake.operations import submit
from surveys.moderation.models import Review
from surveys.people.models import AccessToken, Group
from surveys.people.operations import use_token
from surveys.sites.models import Site
from surveys.visits.models import Visit
from tests.modules import undone_at_the_end

NOTICE = "Invented for a test."
PAYLOAD = settings.BASE_DIR / "fixtures" / "payloads" / "submission.json"


@dataclass(frozen=True)
class Run:
    """What a run of the command printed and left behind."""

    output: str
    again: str
    states: dict[str, Counter[str]]
    releases: list[Release]
    files: list[tuple[Any, ...]]
    files_before: list[tuple[Any, ...]]  # of the same seed, played before and forgotten
    visible: dict[int, set[object]]
    corrected_versions: list[tuple[str, int, int | None]]
    tombstones: Counter[tuple[str, str]]
    exact_sites: set[str]
    reviews: list[tuple[str, str, str]]
    audit_is_whole: bool
    live_tokens: int
    secret_works: bool
    pasted: Answer


@pytest.fixture(scope="module")
def small(
    django_db_setup: None,
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
) -> Run:
    del django_db_setup
    own = {
        "MEDIA_ROOT": tmp_path_factory.mktemp("files"),
        "DATASET": settings.DATASET | {"notice": NOTICE},
    }
    with django_db_blocker.unblock(), undone_at_the_end(**own):
        seed_demo(build(size="small"))
        files_before = _files()
    with django_db_blocker.unblock(), undone_at_the_end(**own):
        output, again = run_command(), run_command()
        return Run(
            output=output,
            again=again,
            states=_states(),
            releases=list(Release.objects.all()),
            files=_files(),
            files_before=files_before,
            visible={number: _visible(number) for number in (1, 2)},
            corrected_versions=list(
                PublishedPit.objects.filter(visit_id=demo_id(318, "visit QVD/QVD-A02"))
                .order_by("since_release", "until_release")
                .values_list("habitat", "since_release", "until_release")
            ),
            tombstones=Counter(Tombstone.objects.values_list("kind", "reason_class")),
            exact_sites=_exact_sites(),
            reviews=list(
                Review.objects.values_list("visit__client_ref", "reviewer__code", "decision")
            ),
            audit_is_whole=first_broken_entry() is None,
            live_tokens=AccessToken.objects.filter(revoked_at__isnull=True).count(),
            secret_works=use_token(secret=_secret(again), at=timezone.now()) is not None,
            pasted=submit(
                group=Group.objects.get(code="QVD"),
                token_name="paste",  # noqa: S106 -- a name, no secret
                body=PAYLOAD.read_bytes(),
                key=None,
                at=timezone.now(),
            ),
        )


def _exact_sites() -> set[str]:
    shown = PublishedVisit.objects.filter(cell_level=6).values("site_id")
    return set(Site.objects.filter(public_id__in=shown).values_list("code", flat=True))


def run_command(**options: object) -> str:
    printed = StringIO()
    call_command("demo", "--no-serve", **({"size": "small"} | options), stdout=printed)
    return printed.getvalue()


def test_command_plays_twenty_visits_and_catches_what_was_planted(small: Run) -> None:
    assert "20  visits stored" in small.output
    assert "5  planted mistakes caught of 5" in small.output
    assert "NOT AS TOLD" not in small.output


def test_second_run_changes_nothing(small: Run) -> None:
    assert "The demo is here already." in small.again
    assert _database_lines(small.again) == _database_lines(small.output)


def test_command_says_that_the_data_are_invented(small: Run) -> None:
    assert NOTICE in small.output


def test_command_prints_where_to_look(small: Run) -> None:
    assert f"{settings.PUBLIC_URL}/docs" in small.output
    assert f"{settings.PUBLIC_URL}/api/v1/releases/2/changes" in small.output


def test_only_the_newest_tokens_work(small: Run) -> None:
    assert _secret(small.output) != _secret(small.again)
    assert (small.live_tokens, small.secret_works) == (2, True)


def test_visit_to_copy_and_paste_is_stored(small: Run) -> None:
    assert f"--data @{PAYLOAD.relative_to(settings.BASE_DIR)}" in small.output
    assert small.pasted.status == 200
    assert small.pasted.body["summary"]["stored"] == 1
    assert small.pasted.body["summary"]["queries"] == 0


def test_every_visit_of_the_first_twenty_is_decided(small: Run) -> None:
    decided = Counter[str]()
    for states in small.states.values():
        decided += states

    assert decided == {"accepted": 18, "withdrawn": 2}


def test_releases_are_made_on_the_days_of_the_story(small: Run) -> None:
    assert [f"{release.issued_at:%Y-%m-%d}" for release in small.releases] == [
        "2025-01-31",
        "2025-06-30",
    ]


def test_public_ids_follow_from_the_seed(small: Run) -> None:
    drawn = {demo_id(318, f"visit {o.group}/{o.ref}") for o in build(318, "small").outings}

    assert len(small.visible[2]) >= 12
    assert small.visible[2] <= drawn


def test_withdrawn_visits_leave_tombstones_only(small: Run) -> None:
    withdrawn = {demo_id(318, "visit VFR/VFR-A03"), demo_id(318, "visit QVD/QVD-A04")}

    assert withdrawn.isdisjoint(small.visible[1] | small.visible[2])
    assert small.tombstones["visit", "consent_withdrawn"] == 1
    assert small.tombstones["visit", "erasure"] == 1


def test_field_left_out_of_the_permission_stays_blurred(small: Run) -> None:
    """The only field of the farm that the first twenty visits know."""
    assert small.exact_sites == set()


def test_correction_after_the_first_release_is_in_the_second(small: Run) -> None:
    """The lawn that had been called rough grass; so few households tell of neither by name."""
    corrected = demo_id(318, "visit QVD/QVD-A02")

    assert corrected in small.visible[1] & small.visible[2]
    lone = "ground not told"
    assert Counter(small.corrected_versions) == Counter(
        [(lone, 1, 2), (lone, 2, None), ("flower bed", 1, None)]
    )


def test_verifier_of_the_household_left_no_decision(small: Run) -> None:
    assert [by for ref, by, _ in small.reviews if ref == "QVD-A05"] == ["V2"]


def test_audit_trail_is_whole(small: Run) -> None:
    assert small.audit_is_whole


@pytest.mark.django_db
def test_demo_without_its_notice_is_refused() -> None:
    with override_settings(DATASET=settings.DATASET | {"notice": ""}), pytest.raises(CommandError):
        run_command()


@pytest.mark.django_db
def test_demo_keeps_out_of_a_database_with_other_records() -> None:
    Group.objects.create(code="X", name="X", west=0, south=0, east=1, north=1)

    with (
        override_settings(DATASET=settings.DATASET | {"notice": NOTICE}),
        pytest.raises(CommandError, match="fresh one"),
    ):
        run_command()


@pytest.mark.django_db
def test_number_of_visits_without_bench_is_refused() -> None:
    with (
        override_settings(DATASET=settings.DATASET | {"notice": NOTICE}),
        pytest.raises(CommandError, match="only for it"),
    ):
        run_command(visits=5)


def test_same_seed_gives_the_same_release_files(small: Run) -> None:
    assert small.files == small.files_before
    assert len(small.files) >= 2


def _files() -> list[tuple[Any, ...]]:
    return list(ReleaseFile.objects.values_list("release", "build", "name", "sha256"))


def _states() -> dict[str, Counter[str]]:
    states: dict[str, Counter[str]] = {}
    for group, state in Visit.objects.values_list("group__code", "state"):
        states.setdefault(group, Counter())[state] += 1
    return states


def _visible(number: int) -> set[object]:
    return set(PublishedVisit.objects.at(number).values_list("id", flat=True))


def _secret(output: str) -> str:
    return output.partition("Bearer ")[2].partition('"')[0]


def _database_lines(output: str) -> str:
    return output.partition("In the database:")[2].partition("Where to look:")[0]

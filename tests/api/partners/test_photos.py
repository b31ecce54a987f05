"""Photos of own visits by HTTP: sending, listing, deleting, and what is refused."""

import io
import logging
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from api.partners.photo_form import FORM_BYTES
from surveys.photos import picture
from surveys.photos.models import Photo
from surveys.photos.picture import MAX_BYTES
from surveys.photos.storage import private_files
from tests.api.holders import VISITS, holder_of, neighbour, sent_visit, visit_of
from tests.api.partners.conftest import Partner
from tests.api.photos import PHOTOS, agree_to_photos, send_photo
from tests.factories.private import ConsentFactory, GroupFactory, ReviewerFactory
from tests.surveys.photos.pictures import CANARY, encoded, exif, flood, image, planted

WITHDRAWAL = {"reason_class": "consent_withdrawn"}

pytestmark = pytest.mark.django_db


@pytest.fixture
def sender(diggers: Partner) -> Partner:
    """Return a group with one visit whose recorder agreed to photos."""
    sent_visit(diggers.caller, visit_of(1))
    agree_to_photos(diggers.group)
    return diggers


def files_of(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def test_sent_photo_waits_and_can_be_followed(sender: Partner) -> None:
    answer = send_photo(sender.caller)

    photo = answer.json()
    assert answer.status_code == 201
    assert (photo["state"], photo["pit"], photo["revision"], photo["kind"]) == (
        "held", 1, 1, "soil",
    )  # fmt: skip
    assert (photo["width_px"], photo["height_px"]) == (60, 40)
    assert answer.headers["Location"] == photo["links"]["self"]
    assert sender.caller.get(photo["links"]["self"]).json() == photo
    assert sender.caller.get(PHOTOS).json() == {"data": [photo]}
    assert answer.headers["Cache-Control"] == "private, no-store"


@pytest.mark.parametrize("hidden", ["exif", "appended", "png-text", "webp", "thumbnail"])
def test_nothing_of_the_sent_file_is_stored_anywhere(
    sender: Partner, hidden: str, tmp_path: Path
) -> None:
    answer = send_photo(sender.caller, planted()[hidden], name=f"{CANARY}.jpg")

    assert answer.status_code == 201
    (stored,) = files_of(tmp_path / "private")
    assert CANARY.encode() not in stored.read_bytes()
    assert CANARY not in str(stored)
    assert files_of(tmp_path / "files") == []
    row = str(Photo.objects.values().get())
    assert CANARY not in row + answer.content.decode()


@pytest.mark.parametrize(
    ("name", "content_type", "kind"),
    [("a.png", "image/png", "JPEG"), ("a.exe", "text/html", "PNG"), ("a", "x/y", "WEBP")],
)
def test_name_and_sent_type_are_not_believed(
    sender: Partner, name: str, content_type: str, kind: str
) -> None:
    answer = send_photo(sender.caller, encoded(kind=kind), name=name, content_type=content_type)

    assert answer.status_code == 201


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "kind"),
        (b"GIF89a" + encoded(), "kind"),
        (flood(30_000, 30_000), "pixels"),
        (encoded(kind="PNG")[:80], "damaged"),
        (encoded(image(mode="CMYK")), "colours"),
        (encoded(kind="PNG", save_all=True, append_images=[image(mode="L")]), "animated"),
    ],
    ids=["svg", "gif-jpeg", "flood", "cut-off", "cmyk", "animated"],
)
def test_file_that_is_no_picture_for_us_is_refused(
    sender: Partner, content: bytes, fault: str, tmp_path: Path
) -> None:
    answer = send_photo(sender.caller, content)

    problem = answer.json()
    assert answer.status_code == 422
    assert problem["type"].endswith("/problems/photo-not-taken")
    assert problem["fault"] == fault
    assert not Photo.objects.exists()
    assert files_of(tmp_path) == []


def test_same_photo_again_is_the_same_photo(sender: Partner) -> None:
    first = send_photo(sender.caller, encoded(exif=exif()))

    again = send_photo(sender.caller, encoded(exif=exif()), name="other.jpg")

    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    assert Photo.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"file": None}, "file"),
        ({"file": "text"}, "file"),
        ({"picture": io.BytesIO(b"x")}, "file"),
        ({"pit": None}, "pit"),
        ({"pit": "one"}, "pit"),
        ({"pit": "0"}, "pit"),
        ({"pit": "11"}, "pit"),
        ({"pit": "\u0661"}, "pit"),
        ({"pit": ["1", "2"]}, "pit"),
        ({"kind": None}, "kind"),
        ({"kind": "portrait"}, "kind"),
        ({"latitude": "52.88"}, "latitude"),
    ],
)
def test_form_with_another_shape_is_refused(
    sender: Partner, changes: dict[str, Any], named: str
) -> None:
    answer = send_photo(sender.caller, **changes)

    assert answer.status_code == 400
    assert answer.json()["parameter"] == named
    assert not Photo.objects.exists()


def test_empty_file_is_refused(sender: Partner) -> None:
    assert send_photo(sender.caller, b"").status_code == 400


def test_other_bodies_are_refused(sender: Partner) -> None:
    assert sender.caller.post(PHOTOS, {"file": "x"}).status_code == 415
    broken = sender.caller.client.post(
        PHOTOS, b"--x", content_type="multipart/form-data", headers=sender.caller.headers
    )
    assert broken.status_code == 400
    assert send_photo(sender.caller, address=f"{PHOTOS}?draft=1").status_code == 400


class Counted(io.BytesIO):
    """A body that tells how much of it was read."""

    def __init__(self, content: bytes) -> None:
        super().__init__(content)
        self.taken = 0

    def read(self, size: int | None = -1, /) -> bytes:
        piece = super().read(size)
        self.taken += len(piece)
        return piece


def form_of(content: bytes) -> bytes:
    head = b'--x\r\nContent-Disposition: form-data; name="file"; filename="a.jpg"\r\n\r\n'
    return head + content + b"\r\n--x--\r\n"


def post_raw(sender: Partner, body: Counted, length: int) -> Any:
    environ: dict[str, Any] = {
        "CONTENT_TYPE": "multipart/form-data; boundary=x",
        "CONTENT_LENGTH": str(length),
        "wsgi.input": body,
    }
    return sender.caller.client.generic("POST", PHOTOS, headers=sender.caller.headers, **environ)


def test_body_over_the_limit_is_refused_before_it_is_read(sender: Partner) -> None:
    body = Counted(form_of(b"x" * 1000))

    answer = post_raw(sender, body, MAX_BYTES + FORM_BYTES + 1)

    assert answer.status_code == 413
    assert answer.json()["max_bytes"] == MAX_BYTES
    assert body.taken == 0


def test_file_over_the_limit_is_not_read_to_its_end(sender: Partner) -> None:
    content = form_of(b"\xff\xd8\xff" + b"x" * (MAX_BYTES + FORM_BYTES - 500))
    body = Counted(content)

    answer = post_raw(sender, body, len(content))

    assert answer.status_code == 413
    assert MAX_BYTES < body.taken <= len(content)


def test_nothing_is_read_without_the_recorders_consent(diggers: Partner) -> None:
    sent_visit(diggers.caller, visit_of(1))
    body = Counted(form_of(encoded()))

    answer = post_raw(diggers, body, 1000)

    assert answer.status_code == 409
    assert answer.json()["type"].endswith("/problems/consent-missing")
    assert body.taken == 0


def test_consent_of_another_recorder_does_not_help(diggers: Partner) -> None:
    sent_visit(diggers.caller, visit_of(1))
    neighbour(diggers.group, "QVD-08")
    agree_to_photos(diggers.group, "QVD-08")

    assert send_photo(diggers.caller).status_code == 409


def test_consent_that_ends_while_the_picture_is_made_wins(
    sender: Partner, monkeypatch: pytest.MonkeyPatch
) -> None:
    person = sender.group.participants.get(code="QVD-07")

    def slowly(content: bytes) -> picture.Picture:
        ConsentFactory.create(
            participant=person, purpose="photos", decision="withdrawn",
            decided_at=person.consents.latest("id").decided_at,
        )  # fmt: skip
        return picture.rebuilt(content)

    monkeypatch.setattr("api.partners.photos.rebuilt", slowly)

    assert send_photo(sender.caller).status_code == 409
    assert not Photo.objects.exists()


def test_pit_that_is_not_there_takes_no_photo(sender: Partner) -> None:
    answer = send_photo(sender.caller, pit="3")

    assert answer.status_code == 409
    assert answer.json()["detail"] == "The visit has no pit 3."


def test_deleted_photo_and_its_file_are_gone(
    sender: Partner, django_capture_on_commit_callbacks: Any
) -> None:
    where = send_photo(sender.caller).json()["links"]["self"]
    name = Photo.objects.get().storage_name

    with django_capture_on_commit_callbacks(execute=True):
        answer = sender.caller.client.delete(where, headers=sender.caller.headers)

    assert (answer.status_code, answer.content) == (204, b"")
    assert not private_files().exists(name)
    assert sender.caller.get(where).status_code == 404
    assert sender.caller.client.delete(where, headers=sender.caller.headers).status_code == 404


@pytest.mark.parametrize("of", ["visits/QVD-S01", "participants/QVD-07"])
def test_withdrawal_takes_the_photos_along(
    sender: Partner, of: str, django_capture_on_commit_callbacks: Any
) -> None:
    send_photo(sender.caller)
    name = Photo.objects.get().storage_name

    with django_capture_on_commit_callbacks(execute=True):
        answer = sender.caller.post(f"/api/v1/partner/{of}/withdrawal", WITHDRAWAL)
        assert private_files().exists(name)

    assert answer.status_code == 200
    assert not Photo.objects.exists()
    assert not private_files().exists(name)
    assert send_photo(sender.caller).status_code == 409


def test_another_groups_photos_are_as_unknown_as_none(sender: Partner) -> None:
    key = send_photo(sender.caller).json()["id"]
    stranger = holder_of(GroupFactory.create(code="OTHER"), "read", "submit", "withdraw")

    theirs = [
        stranger.get(PHOTOS),
        send_photo(stranger),
        stranger.get(f"{PHOTOS}/{key}"),
        stranger.client.delete(f"{PHOTOS}/{key}", headers=stranger.headers),
    ]
    none = stranger.get(f"{VISITS}/QVD-S99/photos/{uuid4()}")

    assert {answer.status_code for answer in (*theirs, none)} == {404}
    documents = [answer.json() | {"instance": ""} for answer in (*theirs, none)]
    assert documents == [documents[0]] * 5
    assert Photo.objects.count() == 1


def test_photo_is_found_under_its_own_visit_only(sender: Partner) -> None:
    sent_visit(sender.caller, visit_of(2))
    key = send_photo(sender.caller).json()["id"]
    elsewhere = f"{VISITS}/QVD-S02/photos/{key}"

    assert sender.caller.get(elsewhere).status_code == 404
    assert sender.caller.client.delete(elsewhere, headers=sender.caller.headers).status_code == 404


@pytest.mark.parametrize(
    ("method", "scope"), [("get", "read"), ("post", "submit"), ("delete", "withdraw")]
)
def test_each_method_needs_its_scope(sender: Partner, method: str, scope: str) -> None:
    key = send_photo(sender.caller).json()["id"]
    others = {"read", "submit", "withdraw"} - {scope}

    def call(*scopes: str) -> Any:
        caller = holder_of(sender.group, *scopes)
        if method == "post":
            return send_photo(caller)
        return getattr(caller.client, method)(f"{PHOTOS}/{key}", headers=caller.headers)

    assert call(*others).status_code == 403
    assert call(scope).status_code in {200, 204}


def test_reviewer_sends_no_photos(sender: Partner) -> None:
    del sender
    reviewer = holder_of(ReviewerFactory.create(), "read", "submit", "review")

    assert send_photo(reviewer).status_code == 403


def test_log_says_nothing_of_a_photo(sender: Partner, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.DEBUG, logger="django"):
        send_photo(sender.caller, b"no picture", name=f"{CANARY}.jpg")
        send_photo(sender.caller, name=f"{CANARY}.jpg")

    assert CANARY not in caplog.text

"""Whatever bytes an archive holds, the answer is a report or that it cannot be read."""

from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from portal.checkarchive.container import UnreadableArchiveError
from portal.checkarchive.inspection import inspect_archive
from tests.portal.checkarchive.archives import event_draft

NAMES = tuple(event_draft().files)
SPLINTERS = (b'"', b"\t", b"\n", b"\r", b"\x00", b"\xff", b"<", b"&", b"/", b"9" * 400, b"1e999")
places = st.floats(min_value=0, max_value=1)


@settings(max_examples=40, deadline=None)
@given(name=st.sampled_from(NAMES), place=places, length=st.integers(0, 200), data=st.data())
def test_spoilt_file_is_reported(name: str, place: float, length: int, data: st.DataObject) -> None:
    draft = event_draft()
    content = draft.files[name]
    start = int(place * len(content))
    splinter = data.draw(st.sampled_from(SPLINTERS) | st.binary(max_size=20))
    draft.files[name] = content[:start] + splinter + content[start + length :]

    with TemporaryDirectory() as folder:
        report = inspect_archive(draft.pack(Path(folder)))

    assert report.exit_status in {0, 1}
    assert len(list(report.as_lines())) == len(report.findings) + len(report.not_shown) + 1


@settings(max_examples=40, deadline=None)
@given(place=places, byte=st.integers(0, 255))
def test_spoilt_zip_is_reported_or_refused(place: float, byte: int) -> None:
    with TemporaryDirectory() as folder:
        path = event_draft().pack(Path(folder))
        content = bytearray(path.read_bytes())
        content[int(place * (len(content) - 1))] = byte
        path.write_bytes(content)
        try:
            status = inspect_archive(path).exit_status
        except UnreadableArchiveError:
            status = 2

    assert status in {0, 1, 2}

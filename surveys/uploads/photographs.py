"""Take in the photos that rows name, from the zip that they came in."""

from datetime import datetime

from surveys.photos.models import PhotoKind
from surveys.photos.operations import NoConsent, NotKept, keep_photo
from surveys.photos.picture import NotTaken, Picture, rebuilt
from surveys.uploads.faults import RowFault
from surveys.uploads.gathering import PhotoNamed
from surveys.uploads.models import UploadJob
from surveys.uploads.packages import PhotoFolder, PhotoNotThere


def look_at(folder: PhotoFolder, ref: str, photo: PhotoNamed) -> Picture | RowFault:
    """Return the picture made anew, or why there is none; takes time and touches no table."""
    try:
        return rebuilt(folder.read(photo.file_name))
    except PhotoNotThere as error:
        return _fault(photo, ref, "photo-missing", str(error))
    except NotTaken as error:
        return _fault(photo, ref, "photo-not-taken", str(error))


def keep(
    job: UploadJob, picture: Picture | RowFault, ref: str, photo: PhotoNamed, *, at: datetime
) -> list[RowFault]:
    """Keep one photo, or only count it in a rehearsal; returns why it was not kept.

    A photo of a visit that was not stored waits for the visit to be sent again.
    """
    if _is_faulty(job, ref):
        job.count(photos_waiting=1)
        return []
    if isinstance(picture, RowFault):
        job.count(photos_rejected=1)
        return [picture]
    try:
        if not job.is_rehearsal:
            keep_photo(
                visit=job.group.visits.get(client_ref=ref),
                pit_number=photo.pit,
                kind=PhotoKind(photo.kind),
                picture=picture,
                at=at,
            )
    except (NoConsent, NotKept) as error:
        job.count(photos_rejected=1)
        code = "consent-missing" if isinstance(error, NoConsent) else "photo-not-kept"
        return [_fault(photo, ref, code, str(error))]
    job.count(photos=1)
    return []


def _is_faulty(job: UploadJob, ref: str) -> bool:
    """Tell whether the visit itself was not stored."""
    faults = job.faults.filter(record=ref[:80], severity="error")
    return not ref or faults.exclude(column__startswith="photos.").exists()


def _fault(photo: PhotoNamed, ref: str, code: str, message: str) -> RowFault:
    return RowFault(
        row=photo.place.row,
        column=photo.place.column,
        code=code,
        message=message,
        received=photo.file_name[:80],
        record=ref[:80],
    )

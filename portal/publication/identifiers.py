"""Give a release its DOI; a DOI that is set moves for a reason only."""

from datetime import datetime

from django.conf import settings
from django.db import transaction

from portal.records.doi import checked_doi
from portal.records.models import Release
from surveys.audit.operations import record


class DoiRefusedError(ValueError):
    """A DOI that a release may not take."""


@transaction.atomic
def set_doi(
    *, release: Release, doi: str, at: datetime, by: str, reason_to_replace: str = ""
) -> None:
    """Give a release its DOI, used from now on wherever the release is described.

    Files that are built stay as they are.

    Raises
    ------
    DoiRefusedError
        If it is another release's or the dataset's, or this release has another and no reason
        is given.
    WrongDoiError
        If it is no DOI.
    """
    checked_doi(doi)
    before = release.doi
    if before == doi:
        return
    if before and not reason_to_replace:
        message = f"Release {release.number} has the DOI {before}; give a reason to replace it."
        raise DoiRefusedError(message)
    if _is_taken(doi, release):
        message = f"The DOI {doi} is that of the dataset or of another release."
        raise DoiRefusedError(message)
    release.doi = doi
    release.doi_set_at = at
    release.save(update_fields=["doi", "doi_set_at"])
    record(
        actor=by,
        action="release DOI set",
        kind="release",
        key=str(release.number),
        at=at,
        doi=doi,
        before=before,
        reason=reason_to_replace,
    )


def _is_taken(doi: str, release: Release) -> bool:
    """Tell whether a DOI is in use; a resolver takes one in capitals for the same."""
    others = Release.objects.exclude(pk=release.pk).filter(doi__iexact=doi)
    return doi.lower() == settings.DATASET_DOI.lower() or others.exists()

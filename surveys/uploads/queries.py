"""What a group may read of its uploads."""

from django.db.models import QuerySet

from surveys.people.models import Group
from surveys.uploads.models import UploadFault, UploadJob


def jobs_of(group: Group) -> QuerySet[UploadJob]:
    """Return a group's jobs, newest first."""
    return UploadJob.objects.filter(group=group).order_by("-id")


def faults_of(job: UploadJob, *, severity: str | None = None) -> QuerySet[UploadFault]:
    """Return a job's faults in the order of the file."""
    faults = UploadFault.objects.filter(job=job)
    return (faults.filter(severity=severity) if severity else faults).order_by("id")

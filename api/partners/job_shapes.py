"""How a job and its faults stand in an answer."""

from typing import Any

from api.links import address
from surveys.uploads.error_tables import fault_row
from surveys.uploads.models import JobPhase, JobState, UploadFault, UploadJob

NULLABLE_INTEGER = {"type": ["integer", "null"]}
JOB: dict[str, Any] = {
    "id": {"type": "string", "format": "uuid"},
    "state": {"type": "string", "enum": list(JobState.values)},
    "dry_run": {"type": "boolean"},
    "progress": {
        "type": "object",
        "properties": {
            "phase": {"type": "string", "enum": list(JobPhase.values)},
            "done": {"type": "integer"},
            "total": NULLABLE_INTEGER,
            "unit": {"type": "string"},
            "percent": NULLABLE_INTEGER,
        },
    },
    "file": {"type": "object"},
    "reading": {"type": "object"},
    "questions": {"type": "array", "items": {"type": "object"}},
    "summary": {"type": "object"},
    "links": {"type": "object"},
}


def job_address(path: str) -> str:
    """Return an address of the partner face."""
    return address(f"/api/v1/partner/{path}")


def job_shape(job: UploadJob) -> dict[str, Any]:
    """Return a job for an answer."""
    here = job_address(f"jobs/{job.public_key}")
    return {
        "id": str(job.public_key),
        "state": job.state,
        "dry_run": job.is_rehearsal,
        "progress": {
            "phase": job.phase,
            "done": job.done,
            "total": job.total,
            "unit": "photos" if job.phase == JobPhase.PHOTOS else "rows",
            "percent": job.percent,
        },
        "cancelling": job.is_cancelling and job.state == JobState.RUNNING,
        "file": {"kind": job.kind or None, "size_bytes": job.size_bytes, "sha256": job.sha256},
        "answers": job.answers,
        "reading": job.reading,
        "questions": job.questions,
        "summary": job.tally,
        "received_at": _instant(job.received_at),
        "started_at": _instant(job.started_at),
        "finished_at": _instant(job.finished_at),
        "links": {
            "self": here,
            "errors": f"{here}/errors",
            "sheet": f"{here}/sheet",
            "confirmation": f"{here}/confirmation",
        },
    }


def fault_shape(fault: UploadFault) -> dict[str, Any]:
    """Return a fault for an answer, with the address of its explanation."""
    return {**fault_row(fault), "docs": address(f"/problems/{fault.code}")}


def _instant(at: Any) -> str | None:
    return f"{at:%Y-%m-%dT%H:%M:%SZ}" if at else None

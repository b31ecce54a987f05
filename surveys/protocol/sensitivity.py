"""Set how sensitive a taxon is; earlier settings stay as history."""

from datetime import datetime

from django.db import transaction

from surveys.audit.operations import record
from surveys.protocol.models import TaxonSensitivity


@transaction.atomic
def set_sensitivity(
    *, scientific_name: str, category: int | None, by: str, reason: str, at: datetime
) -> TaxonSensitivity:
    """Set the category of a taxon, 1 (most sensitive) to 4; none takes it off the list."""
    made = TaxonSensitivity.objects.create(
        scientific_name=scientific_name, category=category, author=by, reason=reason, made_at=at
    )
    record(
        actor=by,
        action="taxon sensitivity set",
        kind="taxon",
        key=scientific_name,
        at=at,
        category=category,
        reason=reason,
    )
    return made

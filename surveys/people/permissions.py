"""Small predicates over (actor, thing); the API only translates them to 403 or 404."""

from surveys.people.models import Participant, Reviewer


def may_review(reviewer: Reviewer, recorder: Participant) -> bool:
    """Tell whether a reviewer may decide on a participant's record.

    Nobody reviews their own record or one of their household.
    """
    own = reviewer.participant
    if not reviewer.active:
        return False
    if own is None:
        return True
    same_household = (own.group_id, own.household) == (recorder.group_id, recorder.household)
    return own.pk != recorder.pk and not same_household


def may_release(reviewer: Reviewer) -> bool:
    """Tell whether a person may make a release."""
    return reviewer.active and reviewer.is_steward

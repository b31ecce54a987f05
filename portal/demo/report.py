"""What the demo tells after it was set up: what was done, where to look, how to send a visit."""

from collections import Counter
from datetime import datetime

from portal.demo.faults import PLANTED
from portal.demo.stage import Stage
from portal.records.models import PublishedCount, PublishedPit, PublishedVisit, Release, Tombstone
from surveys.people.models import AccessToken, Group, Reviewer
from surveys.people.operations import issue_token, revoke_token
from surveys.visits.models import Visit

TRY_OUT = "demo try-out"
PAYLOAD = "fixtures/payloads/submission.json"


def played(stage: Stage) -> str:
    """Return what was played, as lines."""
    planted = [ref for ref in stage.caught if ref in PLANTED]
    missed = stage.missed()
    lines = [f"  {number:>5}  {what}" for what, number in sorted(stage.counts.items())]
    kinds = Counter(PLANTED[ref].kind for ref in planted)
    lines += [
        f"  {len(planted) - len(missed):>5}  planted mistakes caught of {len(planted)}: "
        + ", ".join(f"{kind} {number}" for kind, number in kinds.items())
    ]
    if missed or stage.refused:
        lines.append(
            f"  NOT AS TOLD: not caught {missed}, refused without a reason {stage.refused}"
        )
    return "\n".join(["Played:", *lines])


def found() -> str:
    """Return what the database holds now, as lines."""
    states = Counter(Visit.objects.values_list("state", flat=True))
    lines = [f"  visits {state.replace('_', ' ')}: {n}" for state, n in sorted(states.items())]
    for release in Release.objects.order_by("number"):
        rows = [
            f"{table.objects.at(release.number).count()} {name}"
            for name, table in (
                ("visits", PublishedVisit),
                ("pits", PublishedPit),
                ("counts", PublishedCount),
            )
        ]
        lines.append(
            f"  release {release.number} of {release.issued_at:%Y-%m-%d}: {', '.join(rows)}"
        )
    lines.append(f"  withdrawn public records (tombstones): {Tombstone.objects.count()}")
    return "\n".join(["In the database:", *lines])


def addresses(public_url: str) -> str:
    """Return where to look, as lines."""
    newest = Release.objects.order_by("-number").values_list("number", flat=True).first()
    paths = [
        ("start page", "/"),
        ("try the API", "/docs"),
        ("pits as JSON", "/api/v1/pits?limit=5"),
        ("density by habitat", "/api/v1/summary?by=habitat"),
        ("releases and files", "/api/v1/releases"),
        ("what the last release changed", f"/api/v1/releases/{newest}/changes"),
    ]
    return "\n".join(["Where to look:", *(f"  {what}: {public_url}{path}" for what, path in paths)])


def try_out(public_url: str, *, at: datetime) -> str:
    """Issue fresh tokens, end those of an earlier run, and return how to use them."""
    for old in AccessToken.objects.filter(name=TRY_OUT, revoked_at__isnull=True):
        revoke_token(token=old, at=at)
    _, group_secret = issue_token(
        holder=Group.objects.get(code="QVD"),
        name=TRY_OUT,
        scopes=["read", "submit", "withdraw"],
        at=at,
    )
    _, review_secret = issue_token(
        holder=Reviewer.objects.get(code="V2"), name=TRY_OUT, scopes=["read", "review"], at=at
    )
    return "\n".join(
        [
            "Tokens to try with, shown only now:",
            f"  group QVD (send, read, withdraw): {group_secret}",
            f"  reviewer V2:                      {review_secret}",
            "Send a visit (from the project folder; the same again is answered as unchanged):",
            f'  curl -H "Authorization: Bearer {group_secret}" \\',
            '    -H "Content-Type: application/json" \\',
            f'    --data @{PAYLOAD} "{public_url}/api/v1/partner/submissions"',
        ]
    )

"""Read a bearer token (RFC 6750) from where it belongs; tokens in addresses are not read."""

from rest_framework.request import Request

CHALLENGE = 'Bearer realm="drilosphere"'


def bearer_secret(request: Request) -> str | None:
    """Return the token of ``Authorization: Bearer ...``, if one was sent."""
    kind, _, secret = request.headers.get("Authorization", "").partition(" ")
    return secret.strip() if kind.lower() == "bearer" else None

"""Licences of data, written as aggregators expect them: the address of the legal text."""

from dataclasses import dataclass


class UnknownLicenceError(ValueError):
    """A licence that has no address here."""


@dataclass(frozen=True)
class Licence:
    """A licence by its SPDX id, name and the address of its legal text."""

    spdx_id: str
    name: str
    legal_text: str


# Addresses: examples of dcterms:license in Darwin Core (TDWG); names: SPDX licence list.
_LICENCES = (
    Licence(
        "CC0-1.0",
        "Creative Commons Zero v1.0 Universal",
        "http://creativecommons.org/publicdomain/zero/1.0/legalcode",
    ),
    Licence(
        "CC-BY-4.0",
        "Creative Commons Attribution 4.0 International",
        "http://creativecommons.org/licenses/by/4.0/legalcode",
    ),
    Licence(
        "CC-BY-NC-4.0",
        "Creative Commons Attribution Non Commercial 4.0 International",
        "http://creativecommons.org/licenses/by-nc/4.0/legalcode",
    ),
)


def licence(spdx_id: str) -> Licence:
    """Return a licence by its SPDX id.

    Raises
    ------
    UnknownLicenceError
        If it is none of those that aggregators of occurrence records take.
    """
    for known in _LICENCES:
        if known.spdx_id == spdx_id:
            return known
    message = f"Licence must be one of {', '.join(x.spdx_id for x in _LICENCES)}, not {spdx_id!r}."
    raise UnknownLicenceError(message)

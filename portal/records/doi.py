"""Digital object identifiers: their form and their address; no Django here."""

import re

# Prefix and suffix of a DOI (ISO 26324). The characters of the suffix are those that registration
# agencies recommend, from memory: none of them needs an escape in an address.
_FORM = re.compile(r"10\.\d{4,9}(?:\.\d+)*/[A-Za-z0-9._;()/:-]+")


class WrongDoiError(ValueError):
    """A text that is no DOI."""


def checked_doi(text: str) -> str:
    """Return a DOI as it is, without the address of a resolver before it.

    Raises
    ------
    WrongDoiError
        If it has not the form ``10.NNNN/suffix``.
    """
    if not _FORM.fullmatch(text):
        message = f"A DOI has the form 10.NNNN/suffix, such as 10.5555/pits-3; not {text!r}."
        raise WrongDoiError(message)
    return text


def doi_address(doi: str) -> str:
    """Return the address at which a DOI resolves."""
    return f"https://doi.org/{doi}"

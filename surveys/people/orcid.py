"""Check the form and the check digit of an ORCID iD."""

import re

FORM = re.compile(r"[0-9]{4}-[0-9]{4}-[0-9]{4}-[0-9]{3}[0-9X]")


def is_orcid(text: str) -> bool:
    """Tell whether a text is an ORCID iD, four blocks with a right last digit.

    The last digit is that of ISO 7064, MOD 11-2, as in an ISNI.
    """
    if not FORM.fullmatch(text):
        return False
    numerals = text.replace("-", "")
    total = 0
    for digit in numerals[:-1]:
        total = (total + int(digit)) * 2
    return "0123456789X"[(12 - total % 11) % 11] == numerals[-1]

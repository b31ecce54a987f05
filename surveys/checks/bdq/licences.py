"""Creative Commons licence addresses; the pattern printed in the standard does not match them.

Languages are those that the standard lists for translated texts.
"""

import re

HOST = "https://creativecommons.org"
_LANGUAGES = """
    id eu da de en es fr fy hr it lv lt mi ni no pl pt ro si sl fi sv tr cs el ru uk ar jp ja
    zh-hans zh-hant ko
"""
KINDS = ("by", "by-sa", "by-nc", "by-nc-sa", "by-nd", "by-nc-nd")
TAIL = rf"(?:(?:deed|legalcode)(?:\.(?:{'|'.join(_LANGUAGES.split())}))?)?"
ADDRESS = re.compile(
    rf"https?://creativecommons\.org/"
    rf"(?:licenses/(?:{'|'.join(KINDS)})/4\.0|publicdomain/zero/1\.0)/{TAIL}"
)
NAME = re.compile(r"cc\s*(by(?:\s(?:nc|nd|sa)){0,2})\s*4(?:[. ]0)?(?:\s*international)?")
LOOSE_ADDRESS = re.compile(
    r"(?:https?://)?(?:www\.)?creativecommons\.org/(?:licenses/(?P<kind>[a-z-]+)/4\.0"
    r"|publicdomain/zero/1\.0)/?(?:deed|legalcode)?(?:\.[a-z-]+)?/?"
)
ZERO = re.compile(r"(?:cc\s*0|cc\s*zero)(?:\s*1(?:\.0)?)?(?:\s*universal)?")
LONG_WORDS = (
    ("creative commons", "cc"),
    ("public domain dedication", "0"),
    ("attribution", "by"),
    ("noncommercial", "nc"),
    ("non commercial", "nc"),
    ("noderivatives", "nd"),
    ("no derivatives", "nd"),
    ("noderivs", "nd"),
    ("sharealike", "sa"),
    ("share alike", "sa"),
)


def legal_code(kind: str) -> str:
    """Return the address of a licence text; kind "0" is the public domain dedication."""
    if kind == "0":
        return f"{HOST}/publicdomain/zero/1.0/legalcode"
    return f"{HOST}/licenses/{kind}/4.0/legalcode"


def licence_meant(text: str) -> str | None:
    """Return the address for a name or slip with one meaning; a missing version is none."""
    lowered = text.casefold()
    address = LOOSE_ADDRESS.fullmatch(lowered)
    if address:
        kind = address["kind"] or "0"
        return legal_code(kind) if kind == "0" or kind in KINDS else None
    lowered = re.sub(r"(?<=\S)\s*\([^()]*\)$", "", lowered)
    words = " ".join(re.split(r"[\s_()-]+", lowered)).strip()
    for long, short in LONG_WORDS:
        words = words.replace(long, short)
    words = re.sub(r"\bv(?:ersion)?\s*(?=\d)", "", words)
    if ZERO.fullmatch(words):
        return legal_code("0")
    named = NAME.fullmatch(words)
    kind = named[1].replace(" ", "-") if named else ""
    return legal_code(kind) if kind in KINDS else None

"""Words as LaTeX understands them everywhere: specials escaped, accents as commands."""

import unicodedata

_SPECIALS = {
    "\\": r"\textbackslash{}",
    "{": r"\{",
    "}": r"\}",
    "&": r"\&",
    "%": r"\%",
    "$": r"\$",
    "#": r"\#",
    "_": r"\_",
    "~": r"\textasciitilde{}",
    "^": r"\textasciicircum{}",
    "<": r"\textless{}",
    ">": r"\textgreater{}",
}
# Commands of LaTeX for combining marks, and for letters and signs that no mark makes.
_MARKS = {
    "\u0300": "`",
    "\u0301": "'",
    "\u0302": "^",
    "\u0303": "~",
    "\u0304": "=",
    "\u0306": "u",
    "\u0307": ".",
    "\u0308": '"',
    "\u030a": "r",
    "\u030b": "H",
    "\u030c": "v",
    "\u0327": "c",
    "\u0328": "k",
}
_SIGNS = {
    "ß": r"{\ss}",
    "æ": r"{\ae}",
    "Æ": r"{\AE}",
    "œ": r"{\oe}",
    "Œ": r"{\OE}",
    "ø": r"{\o}",
    "Ø": r"{\O}",
    "ł": r"{\l}",
    "Ł": r"{\L}",
    "\N{EN DASH}": "--",
    "\N{EM DASH}": "---",
    "\N{LEFT SINGLE QUOTATION MARK}": "`",
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "\N{LEFT DOUBLE QUOTATION MARK}": "``",
    "\N{RIGHT DOUBLE QUOTATION MARK}": "''",
}


def latex(text: str) -> str:
    """Return a text for LaTeX; a character that it has no command for stays as it is."""
    return "".join(_written(char) for char in unicodedata.normalize("NFC", text))


def _written(char: str) -> str:
    if char in _SPECIALS:
        return _SPECIALS[char]
    if char.isascii():
        return char
    if char in _SIGNS:
        return _SIGNS[char]
    parts = unicodedata.normalize("NFD", char)
    letter, mark = parts[0], _MARKS.get(parts[1:])
    return f"{{\\{mark}{{{letter}}}}}" if mark else char

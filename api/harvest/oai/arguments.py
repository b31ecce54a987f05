"""The arguments of a request: which verb takes which, and how each is written."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from api.harvest.oai.faults import Code, Fault

SHOWN_CHARACTERS = 80


@dataclass(frozen=True)
class Rule:
    """What a verb needs and takes; a token takes the place of all of it."""

    required: tuple[str, ...] = ()
    optional: tuple[str, ...] = ()
    resumable: bool = False

    @property
    def known(self) -> tuple[str, ...]:
        """Return every argument that the verb knows."""
        return (*self.required, *self.optional, *(["resumptionToken"] if self.resumable else []))


_LIST = Rule(("metadataPrefix",), ("from", "until", "set"), resumable=True)
RULES = {
    "Identify": Rule(),
    "ListMetadataFormats": Rule((), ("identifier",)),
    "ListSets": Rule(resumable=True),
    "ListIdentifiers": _LIST,
    "ListRecords": _LIST,
    "GetRecord": Rule(("identifier", "metadataPrefix")),
}

_PATH = r"(?:[A-Za-z0-9._~!$&'()*+,;=:@/?-]|%[0-9A-Fa-f]{2})"
_SHAPES = {
    # RFC 3986, without fragment, user or address in digits: no identifier needs them
    "identifier": re.compile(
        rf"[A-Za-z][A-Za-z0-9+.-]*:(?:(?!//){_PATH}+|//[A-Za-z0-9.-]+(?::[0-9]+)?(?:/{_PATH}*)?)"
    ),
    # the patterns of the protocol's schema
    "metadataPrefix": re.compile(r"[A-Za-z0-9_.!~*'()-]+"),
    "set": re.compile(r"[A-Za-z0-9_.!~*'()-]+(?::[A-Za-z0-9_.!~*'()-]+)*"),
}


def read_arguments(given: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """Return the arguments of a request, each known to its verb, there once and well written.

    Raises
    ------
    Fault
        ``badVerb`` or ``badArgument``.
    """
    verbs = given.get("verb", ())
    if len(verbs) != 1 or verbs[0] not in RULES:
        raise Fault(Code.BAD_VERB, f"Give one verb of {', '.join(RULES)}.")
    _require_known_once(given, RULES[verbs[0]])
    arguments = {name: values[0] for name, values in given.items()}
    _require_complete(arguments, RULES[verbs[0]])
    for name, shape in _SHAPES.items():
        if name in arguments and not shape.fullmatch(arguments[name]):
            raise Fault(
                Code.BAD_ARGUMENT, f"The argument {name} is not written as the protocol asks."
            )
    return arguments


def _require_known_once(given: Mapping[str, Sequence[str]], rule: Rule) -> None:
    for name, values in given.items():
        if name not in ("verb", *rule.known):
            raise Fault(
                Code.BAD_ARGUMENT, f"The verb takes no argument {name[:SHOWN_CHARACTERS]!r}."
            )
        if len(values) != 1:
            raise Fault(Code.BAD_ARGUMENT, f"The argument {name} is there more than once.")


def _require_complete(arguments: Mapping[str, str], rule: Rule) -> None:
    if "resumptionToken" in arguments:
        if set(arguments) != {"verb", "resumptionToken"}:
            raise Fault(Code.BAD_ARGUMENT, "A resumptionToken stands alone beside the verb.")
        return
    for name in rule.required:
        if name not in arguments:
            raise Fault(Code.BAD_ARGUMENT, f"The verb needs the argument {name}.")

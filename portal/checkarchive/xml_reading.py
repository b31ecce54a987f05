"""XML read with suspicion: a DOCTYPE is refused before any entity could be declared."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers.expat import ExpatError, ParserCreate, errors

_DEEPEST = 100


class XmlRefusedError(Exception):
    """A document that is not read; tells the line."""

    def __init__(self, message: str, line: int) -> None:
        super().__init__(message)
        self.line = line


class DoctypeError(XmlRefusedError):
    """A document that declares a type, and so could declare entities."""


@dataclass
class Node:
    """An element: local name, namespace, attributes without namespace, and its line."""

    name: str
    namespace: str
    attributes: dict[str, str]
    line: int
    text: str = ""
    children: list["Node"] = field(default_factory=list)

    def all(self, path: str) -> Iterator["Node"]:
        """Yield the elements at a path of local names, such as ``dataset/title``."""
        first, _, rest = path.partition("/")
        for child in self.children:
            if child.name == first:
                yield from child.all(rest) if rest else (child,)

    def descendants(self, name: str) -> Iterator["Node"]:
        """Yield the elements of a local name at any depth."""
        for child in self.children:
            if child.name == name:
                yield child
            yield from child.descendants(name)

    def whole_text(self) -> str:
        """Return the text of the element and of all that is in it."""
        return "".join((self.text, *(child.whole_text() for child in self.children))).strip()


def read_xml(content: bytes) -> Node:
    """Return the root of a document.

    Raises
    ------
    DoctypeError
        If there is a DOCTYPE.
    XmlRefusedError
        If it is not well-formed, or too deep.
    """
    builder = _Builder()
    try:
        builder.parser.Parse(content, True)  # noqa: FBT003 -- the signature of expat
    except (ExpatError, LookupError, ValueError) as error:
        line = getattr(error, "lineno", builder.parser.CurrentLineNumber)
        raise XmlRefusedError(_reason(error), line) from error
    return builder.roots[0]


class _Builder:
    def __init__(self) -> None:
        self.parser = ParserCreate(namespace_separator="}")
        self.parser.buffer_text = True
        self.parser.StartDoctypeDeclHandler = self._refuse
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.roots: list[Node] = []
        self._open: list[Node] = []

    def _refuse(self, *_declared: object) -> None:
        message = "DOCTYPE"
        raise DoctypeError(message, self.parser.CurrentLineNumber)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        if len(self._open) == _DEEPEST:
            message = f"elements lie more than {_DEEPEST} deep"
            raise XmlRefusedError(message, self.parser.CurrentLineNumber)
        namespace, _, local = name.rpartition("}")
        own = {key: value for key, value in attributes.items() if "}" not in key}
        node = Node(local, namespace, own, self.parser.CurrentLineNumber)
        (self._open[-1].children if self._open else self.roots).append(node)
        self._open.append(node)

    def _end(self, _name: str) -> None:
        self._open.pop()

    def _text(self, text: str) -> None:
        self._open[-1].text += text


def _reason(error: Exception) -> str:
    code = getattr(error, "code", None)
    return errors.messages[code] if code in errors.messages else str(error)

"""XML read with expat, which gives byte positions; documents that declare a DTD or entities are refused."""

import re
from collections.abc import Callable
from typing import NoReturn
from xml.parsers import expat

from .problems import WorkbookProblem

MAX_DEPTH = 100

_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
_NEEDS_ESCAPE = re.compile(r"[\x00-\x08\x0b-\x1f\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")


def parser_for(label: str) -> expat.XMLParserType:
    """Return a parser that refuses document types, and so every entity but the five of XML itself."""
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def refuse(*_: object) -> NoReturn:
        raise WorkbookProblem(f"{label} declares a document type, which no workbook needs; it is refused.")

    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    return parser


def parse(parser: expat.XMLParserType, content: bytes, label: str) -> None:
    """Run a parser over a whole document."""
    try:
        parser.Parse(content, True)
    except expat.ExpatError as error:
        raise WorkbookProblem(f"{label} is damaged: {error}.") from None
    except (LookupError, ValueError) as error:  # an encoding that expat or Python does not know
        raise WorkbookProblem(f"{label} cannot be read: {error}.") from None


def refuse_depth(depth: int, label: str) -> None:
    """Refuse elements within elements without end."""
    if depth > MAX_DEPTH:
        raise WorkbookProblem(f"{label} nests its elements more than {MAX_DEPTH} deep.")


def local(name: str) -> str:
    """Return a name without its namespace prefix."""
    return name.rpartition(":")[2]


def whole_number(text: str) -> int | None:
    """Return the number that a text of digits is; None where it is none, or too long to count anything."""
    return int(text) if len(text) <= 9 and text.isascii() and text.isdigit() else None


def elements(content: bytes, label: str, visit: Callable[[str, dict[str, str], str], None]) -> None:
    """Call ``visit(path, attributes, text)`` at the end of every element of a small document.

    The path is made of local names, such as ``workbook/sheets/sheet``; attribute names are local too.
    """
    parser = parser_for(label)
    stack: list[tuple[str, dict[str, str], list[str]]] = []

    def start(name: str, attributes: dict[str, str]) -> None:
        refuse_depth(len(stack), label)
        path = f"{stack[-1][0]}/{local(name)}" if stack else local(name)
        stack.append((path, {local(key): value for key, value in attributes.items()}, []))

    def end(_: str) -> None:
        path, attributes, texts = stack.pop()
        visit(path, attributes, "".join(texts))

    def data(text: str) -> None:
        stack[-1][2].append(text)

    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.CharacterDataHandler = data
    parse(parser, content, label)


def unescaped(text: str) -> str:
    """Undo the workbook format's own escapes: ``_x000D_`` is a carriage return."""
    return _ESCAPED.sub(_character, text) if "_x" in text else text


def _character(found: re.Match[str]) -> str:
    character = chr(int(found[1], 16))
    return found[0] if "\ud800" <= character <= "\udfff" else character  # half a character is none


def escaped(text: str) -> str:
    """Write text as the content of an element, the workbook format's own escapes included."""
    text = _NEEDS_ESCAPE.sub(lambda found: f"_x{ord(found[0]):04X}_", text)
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")

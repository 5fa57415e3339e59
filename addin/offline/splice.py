"""Write values into formula cells of a sheet part as bytes, leaving every other byte as it was."""

import math
import re
from collections.abc import Iterable

from .markup import escaped
from .problems import WorkbookProblem
from .sheets import FormulaCell
from .values import CellError, Value

_TAG = re.compile(rb"""<([^\s/>]+)((?:\s+[^\s=/>]+\s*=\s*(?:"[^"]*"|'[^']*'))*)\s*(/?)>""")
_ATTRIBUTE = re.compile(rb"""(?<!\s)(\s+)([^\s=]+)(\s*=\s*)(?:"[^"]*"|'[^']*')""")


def splice(content: bytes, results: Iterable[tuple[FormulaCell, Value]]) -> bytes:
    """Return the sheet part with each cell's value replaced by its result, where the two differ."""
    edits: list[tuple[int, int, bytes]] = []
    for cell, value in results:
        if not same(cell, value):
            edits += _edits(content, cell, value)
    edits.sort()
    out: list[bytes] = []
    done = 0
    for start, end, replacement in edits:
        out += [content[done:start], replacement]
        done = end
    return b"".join([*out, content[done:]])


def same(cell: FormulaCell, value: Value) -> bool:
    """Whether the cell already holds this value."""
    if cell.text is None:
        return False
    return type(cell.stored) is type(value) and cell.stored == value


def number_text(value: float) -> str:
    """Write a number so that it reads back exactly, whole numbers without a point."""
    if value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return repr(value)


def _typed(value: Value) -> tuple[bytes | None, str]:
    if isinstance(value, bool):
        return b"b", str(int(value))
    if isinstance(value, float) and math.isfinite(value):
        return None, number_text(value)
    if isinstance(value, str):
        return b"str", escaped(value)
    if isinstance(value, CellError):
        return b"e", escaped(value.code)
    raise WorkbookProblem(f"A result that is no cell value ({value!r}) was not written; nothing was changed.")


def _edits(content: bytes, cell: FormulaCell, value: Value) -> list[tuple[int, int, bytes]]:
    kind, text = _typed(value)
    tag = _tag_at(content, cell.start)
    prefix = tag[1][: -len(tag[1].rpartition(b":")[2])]
    space = b' xml:space="preserve"' if text != text.strip() else b""
    written = b"<%bv%b>%b</%bv>" % (prefix, space, text.encode(), prefix)
    edits = []
    attributes = _with_type(tag[2], kind)
    if attributes != tag[2]:
        edits.append((tag.start(2), tag.end(2), attributes))
    if tag[3]:  # a member of an array formula may stand there as an empty element
        edits.append((tag.start(3), tag.end(), b">%b</%b>" % (written, tag[1])))
    elif cell.value_start >= 0:
        edits.append((cell.value_start, _element_end(content, cell.value_start, cell.value_end), written))
    else:
        after = tag.end()
        if cell.formula_start >= 0:
            after = _element_end(content, cell.formula_start, cell.formula_end)
        edits.append((after, after, written))
    return edits


def _tag_at(content: bytes, position: int) -> re.Match[bytes]:
    tag = _TAG.match(content, position)
    if tag is None:  # expat has read it, so this cannot be the file's fault
        raise WorkbookProblem(f"The tag at byte {position} was not understood; nothing was changed.")
    return tag


def _element_end(content: bytes, start: int, end_tag: int) -> int:
    tag = _tag_at(content, start)
    return tag.end() if tag[3] else content.index(b">", end_tag) + 1


def _with_type(attributes: bytes, kind: bytes | None) -> bytes:
    if kind is None and b"t" not in attributes:
        return attributes
    for found in _ATTRIBUTE.finditer(attributes):
        if found[2] == b"t":
            replacement = b"" if kind is None else found[1] + b"t" + found[3] + b'"%b"' % kind
            return attributes[: found.start()] + replacement + attributes[found.end() :]
    return attributes if kind is None else attributes + b' t="%b"' % kind

"""Read the numpydoc docstring of a function: it is where arguments are declared."""

from __future__ import annotations

SECTIONS = ("Parameters", "Returns", "Raises", "Notes", "Examples", "References")


class Entry:
    """One argument or result as the docstring states it.

    Attributes
    ----------
    name : str
        Argument name; empty for a result.
    kind : str
        Kind of value, such as ``number`` or ``list of yarns``.
    column : bool
        Whether a column of such values is taken.
    unit : str
        Unit as written in brackets, or empty.
    conditions : list of str
        Bounds such as ``> 0``.
    choices : list of str
        The texts that a choice admits.
    default : str or None
        The default as written; None where the argument is required.
    description : str
        The lines below, joined.
    """

    __slots__ = ("choices", "column", "conditions", "default", "description", "kind", "name", "unit")

    def __init__(self, name: str, type_line: str, description: str) -> None:
        self.name = name
        self.description = description
        self.unit = ""
        self.choices: list[str] = []
        self.default: str | None = None
        rest = type_line
        if rest.startswith("{"):
            inside, _, rest = rest[1:].partition("}")
            self.choices = [choice.strip().strip('"') for choice in inside.split(",")]
            self.kind = "choice"
            self.column = rest.startswith(" or column")
            rest = rest.removeprefix(" or column")
        else:
            head, _, tail = rest.partition(",")
            head, bracket, unit = head.partition("[")
            if bracket:
                self.unit = unit.rstrip().rstrip("]")
            head = head.strip()
            self.column = head.endswith(" or column")
            self.kind = head.removesuffix(" or column")
            rest = tail
        rest, marker, default = rest.strip().partition("default ")
        if marker:
            self.default = default.strip()
        self.conditions = [part.strip() for part in rest.split(",") if part.strip()]


class Docstring:
    """A docstring, split into its sections; its arguments may be those of another one."""

    __slots__ = ("parameters", "returns", "sections", "summary")

    def __init__(self, text: str, parameters: list[Entry] | None = None) -> None:
        lines = _unindented(text)
        self.summary = lines[0] if lines else ""
        self.sections = _sections(lines)
        if parameters is None:
            parameters = _entries(self.sections.get("Parameters", []), named=True)
        self.parameters = parameters
        self.returns = _entries(self.sections.get("Returns", []), named=False)


def _unindented(text: str) -> list[str]:
    lines = text.expandtabs().splitlines()
    while lines and not lines[-1].strip():
        lines.pop()
    margin = min((len(line) - len(line.lstrip()) for line in lines[1:] if line.strip()), default=0)
    return [lines[0].strip()] + [line[margin:].rstrip() for line in lines[1:]] if lines else []


def _sections(lines: list[str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    current: list[str] = []
    for line, following in zip(lines, [*lines[1:], ""]):
        if line in SECTIONS and following.startswith("---"):
            current = found.setdefault(line, [])
        elif not (line.startswith("---") and not current):
            current.append(line)
    return found


def _entries(lines: list[str], named: bool) -> list[Entry]:
    blocks: list[tuple[str, list[str]]] = []
    for line in lines:
        if line and not line.startswith(" "):
            blocks.append((line, []))
        elif line and blocks:
            blocks[-1][1].append(line.strip())
    entries = []
    for head, body in blocks:
        name, separator, type_line = head.partition(" : ") if named else ("", " : ", head)
        if not separator:
            raise SyntaxError(f"docstring line {head!r} needs 'name : kind'")
        entries.append(Entry(name, type_line, " ".join(body)))
    return entries

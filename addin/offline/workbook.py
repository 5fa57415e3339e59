"""The workbook around the cells: sheets, defined names, tables, the date system."""

import posixpath
import re
from dataclasses import dataclass, field
from urllib.parse import unquote

from .grid import area_bounds
from .markup import elements, whole_number
from .package import Package
from .problems import WorkbookProblem
from .sheets import SheetCells, read_cells, read_strings


@dataclass(frozen=True)
class Table:
    """A table: where it stands and what its columns are called."""

    name: str
    sheet: str
    first_row: int
    first_column: int
    last_row: int
    last_column: int
    header_rows: int
    totals_rows: int
    columns: tuple[str, ...]

    @property
    def first_data_row(self) -> int:
        """The first row under the header."""
        return self.first_row + self.header_rows

    @property
    def last_data_row(self) -> int:
        """The last row above the totals."""
        return self.last_row - self.totals_rows


@dataclass
class Sheet:
    """A worksheet: its name, its part and its cells."""

    name: str
    member: str
    content: bytes
    cells: SheetCells


@dataclass
class Workbook:
    """Everything of a workbook that bears on calculation."""

    package: Package
    sheets: list[Sheet] = field(default_factory=list)
    names: dict[tuple[str, str], str] = field(default_factory=dict)
    """Defined names: (sheet in lower case or "", name in lower case) to formula text."""
    tables: dict[str, Table] = field(default_factory=dict)
    date1904: bool = False


def read_workbook(package: Package) -> Workbook:
    """Read the parts of a package that calculation needs; the rest is never unpacked."""
    book = Workbook(package)
    if "[Content_Types].xml" not in package.members:
        _refuse_non_workbook(package)
    main = [target for kind, target in relations(package, "").values() if kind == "officeDocument"]
    if len(main) != 1 or main[0] not in package.members:
        _refuse_non_workbook(package)
    if main[0].endswith(".bin"):
        raise WorkbookProblem(f"{package.name} is a binary workbook. Save it as .xlsx, and try again.")
    listed: list[tuple[str, str]] = []
    names: list[tuple[str, str, str]] = []
    roots: list[str] = []

    def visit(path: str, attributes: dict[str, str], text: str) -> None:
        if path == "workbook/sheets/sheet":
            listed.append((attributes.get("name", ""), attributes.get("id", "")))
        # Calc lists the functions that are used among the names, where they lead nowhere.
        elif path == "workbook/definedNames/definedName" and not _is_true(attributes, "function"):
            names.append((attributes.get("localSheetId", ""), attributes.get("name", ""), text))
        elif path == "workbook/workbookPr":
            book.date1904 = _is_true(attributes, "date1904")
        elif "/" not in path:
            roots.append(path)

    elements(package.read(main[0]), _label(package, main[0]), visit)
    if roots != ["workbook"]:
        _refuse_non_workbook(package)
    _read_names(book, [name for name, _ in listed], names)
    _read_sheets(book, main[0], listed)
    return book


def _is_true(attributes: dict[str, str], name: str) -> bool:
    return attributes.get(name) in ("1", "true")


def _refuse_non_workbook(package: Package) -> None:
    raise WorkbookProblem(f"{package.name} is a packed folder (zip), but no .xlsx or .xlsm workbook.")


def _read_names(book: Workbook, sheets: list[str], names: list[tuple[str, str, str]]) -> None:
    for scope, name, text in names:
        owner = ""
        if scope:
            number = whole_number(scope)
            if number is None or number >= len(sheets):
                raise WorkbookProblem(
                    f"{book.package.name}: the name {name} belongs to a sheet that is not there."
                )
            owner = sheets[number].lower()
        book.names[owner, name.lower()] = text


def _read_sheets(book: Workbook, main: str, listed: list[tuple[str, str]]) -> None:
    package = book.package
    found = relations(package, main)
    strings: list[str] = []
    for kind, target in found.values():
        if kind == "sharedStrings":
            strings = read_strings(package.read(target), _label(package, target))
    for name, identifier in listed:
        if identifier not in found:
            raise WorkbookProblem(f"{package.name}: the part of the sheet {name} is missing.")
        kind, member = found[identifier]
        if kind != "worksheet":  # a sheet that is one chart, or a macro sheet: it has no cells to calculate
            continue
        if member not in package.members:
            raise WorkbookProblem(f"{package.name}: the part {member} of the sheet {name} is missing.")
        content = package.read(member)
        label = f"{package.name}, sheet {name},"
        sheet = Sheet(name, member, content, read_cells(content, label, strings, book.date1904))
        if any(sheet.name.lower() == other.name.lower() or member == other.member for other in book.sheets):
            raise WorkbookProblem(f"{package.name} has the sheet {name} twice.")
        book.sheets.append(sheet)
        for table_kind, target in relations(package, member).values():
            if table_kind == "table":
                table = _read_table(package, target, name)
                book.tables[table.name.lower()] = table
    if not book.sheets:
        raise WorkbookProblem(f"{package.name} has no worksheet.")


def _read_table(package: Package, member: str, sheet: str) -> Table:
    columns: list[str] = []
    found: dict[str, str] = {}

    def visit(path: str, attributes: dict[str, str], _: str) -> None:
        if path == "table/tableColumns/tableColumn":
            columns.append(_newlines(attributes.get("name", "")))
        elif path == "table":
            found.update(attributes)

    elements(package.read(member), _label(package, member), visit)
    bounds = area_bounds(found.get("ref", ""))
    name = found.get("displayName") or found.get("name", "")
    heads = whole_number(found.get("headerRowCount", "1"))
    totals = whole_number(found.get("totalsRowCount", "0"))
    if bounds is None or not name or heads is None or totals is None:
        raise WorkbookProblem(f"{_label(package, member)} describes no table.")
    return Table(name, sheet, *bounds, heads, totals, tuple(columns))


def _newlines(text: str) -> str:
    """A line break in a column's name is stored as an escape."""
    return re.sub(r"_x000[aA]_", "\n", text)


def _label(package: Package, member: str) -> str:
    return f"{package.name}, part {member},"


def relations(package: Package, member: str) -> dict[str, tuple[str, str]]:
    """Return id to (kind, member) of the relations of a part; those to other files are left out."""
    folder, name = posixpath.split(member)
    part = posixpath.join(folder, "_rels", f"{name}.rels")
    found: dict[str, tuple[str, str]] = {}
    if part not in package.members:
        return found

    def visit(path: str, attributes: dict[str, str], _: str) -> None:
        if path == "Relationships/Relationship" and attributes.get("TargetMode") != "External":
            kind = attributes.get("Type", "").rpartition("/")[2]
            target = posixpath.normpath(posixpath.join("/", folder, unquote(attributes.get("Target", ""))))
            found[attributes.get("Id", "")] = kind, target.lstrip("/")

    elements(package.read(part), _label(package, part), visit)
    return found

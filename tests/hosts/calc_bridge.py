"""The far end of the scripting bridge: runs in the office's own Python, as the user the office runs as.

Started by ``driven.py`` with the name of a pipe. It reads one request a line, ``[verb, argument, ...]``, and
answers each with one line: ``["done", result]`` or ``["failed", message]``. Not a test: no pytest here.
"""

import json
import os
import sys
import time
import traceback

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException
from com.sun.star.sheet.FormulaResult import ERROR

FILTERS = {".ods": "calc8", ".xlsx": "Calc MS Excel 2007 XML"}
SECONDS_TO_START = 120

# The number of an error that the office keeps, and how a sheet shows it.
SHOWN_ERRORS = {
    502: "#VALUE!",
    503: "#NUM!",
    519: "#VALUE!",
    521: "#NULL!",
    524: "#REF!",
    525: "#NAME?",
    532: "#DIV/0!",
    32767: "#N/A",
}


# What is compared of the look of a cell, and of the rule that checks what is typed.
LOOKS = (
    "CellBackColor",
    "CharColor",
    "CharHeight",
    "CharWeight",
    "CharFontName",
    "IsTextWrapped",
    "ShrinkToFit",
    "ParaIndent",
)
ASKED = ("NumberFormat", "HoriJustify", "CellProtection", "Validation", *LOOKS)
RULES = (
    "InputTitle",
    "InputMessage",
    "ErrorTitle",
    "ErrorMessage",
    "ShowErrorMessage",
    "ShowList",
    "IgnoreBlankCells",
)


def properties(**values):
    return tuple(PropertyValue(name, 0, value, 0) for name, value in values.items())


class Desk:
    """The office with one document open at a time; every public method is a verb."""

    def __init__(self, pipe):
        context = _connected(pipe)
        services = context.ServiceManager
        self.desktop = services.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        self.dispatcher = services.createInstanceWithContext("com.sun.star.frame.DispatchHelper", context)
        provider = "com.sun.star.configuration.ConfigurationProvider"
        self.settings = services.createInstanceWithContext(provider, context)
        self.document = None

    def answers(self):
        """Do nothing: whoever is answered knows that the office is up."""

    def open(self, path):
        """Open a file in a window, as a user does; return the seconds it took."""
        started = time.perf_counter()
        self.document = self.desktop.loadComponentFromURL(uno.systemPathToFileUrl(path), "_blank", 0, ())
        return time.perf_counter() - started

    def save(self, path):
        """Save under this name; its ending says the format."""
        how = properties(FilterName=FILTERS[os.path.splitext(path)[1]], Overwrite=True)
        self.document.storeAsURL(uno.systemPathToFileUrl(path), how)

    def close(self):
        self.document.close(True)
        self.document = None

    def leave(self):
        """End the office."""
        self.desktop.terminate()

    def type(self, name, text):
        """Type into a named cell; return the seconds until every sheet is calculated."""
        self._go(name)
        started = time.perf_counter()
        self._do("EnterString", StringName=text)
        self.document.calculate()
        return time.perf_counter() - started

    def clear(self, name):
        """Empty a named cell."""
        self._go(name)
        self._do("ClearContents")
        self.document.calculate()

    def move(self, sheet, cells, to):
        """Cut cells of a sheet and paste them where another one stands, as dragging them does."""
        self._replace_unasked()
        for address, command in ((cells, "Cut"), (to, "Paste")):
            self._select(sheet, address)
            self._do(command)
        self.document.calculate()

    def filtered(self, sheet):
        """Return the cells that the filter of a sheet spans."""
        number = self.document.Sheets.getByName(sheet).RangeAddress.Sheet
        found = self.document.getPropertyValue("UnnamedDatabaseRanges").getByTable(number)
        return found.ReferredCells.AbsoluteName.rpartition(".")[2].replace("$", "")

    def sort(self, sheet, cells):
        """Sort lines below their headings by their first column, as the menu of the filter does."""
        self._select(sheet, cells)
        left = self.document.Sheets.getByName(sheet).getCellRangeByName(cells).RangeAddress.StartColumn
        self._do("DataSort", ByRows=True, HasHeader=True, IncludeAttribs=True, Col1=left + 1, Ascending1=True)
        self.document.calculate()

    def insert_row(self, sheet, row):
        """Insert a row before one counted from 1, on a sheet whose protection is taken off first."""
        self._unprotected(sheet).Rows.insertByIndex(row - 1, 1)
        self.document.calculate()

    def delete_row(self, sheet, row):
        """Delete a row counted from 1, on a sheet whose protection is taken off first."""
        self._unprotected(sheet).Rows.removeByIndex(row - 1, 1)
        self.document.calculate()

    def rename(self, sheet, name):
        """Give a sheet another name."""
        self.document.Sheets.getByName(sheet).Name = name

    def undo(self):
        self._do("Undo")
        self.document.calculate()

    def recalculate_all(self):
        """Calculate every formula anew; return the seconds it took."""
        started = time.perf_counter()
        self.document.calculateAll()
        return time.perf_counter() - started

    def sheets(self):
        return list(self.document.Sheets.ElementNames)

    def values(self, sheet):
        """Return the used cells of a sheet, row by row: a number, a text, or ``{"error": what is shown}``."""
        page = self.document.Sheets.getByName(sheet)
        rows = [list(row) for row in _used(page).getDataArray()]
        for area in page.queryFormulaCells(ERROR).RangeAddresses:
            for row in range(area.StartRow, area.EndRow + 1):
                for column in range(area.StartColumn, area.EndColumn + 1):
                    number = page.getCellByPosition(column, row).getError()
                    rows[row][column] = {"error": SHOWN_ERRORS.get(number, f"Err:{number}")}
        return rows

    def formulas(self, sheet):
        """Return what is written in the used cells of a sheet, row by row: values and formulas."""
        return [list(row) for row in _used(self.document.Sheets.getByName(sheet)).getFormulaArray()]

    def named(self, name):
        """Return the rows of cells that a name stands for; an error cell is None."""
        return [list(row) for row in self._area(name).getDataArray()]

    def error_of(self, name):
        """Return the error that a named cell shows; an empty text when it shows a value."""
        number = self._area(name).getCellByPosition(0, 0).getError()
        return SHOWN_ERRORS.get(number, f"Err:{number}") if number else ""

    def furniture(self):
        """Return all that is not the content of a cell and must not get lost."""
        controller = self.document.CurrentController
        active = controller.ActiveSheet
        found = {
            "active sheet": active.Name,
            "names": {
                name: self.document.NamedRanges.getByName(name).Content
                for name in self.document.NamedRanges.ElementNames
                if not name.startswith("_xlnm")
            },
        }
        for name in self.document.Sheets.ElementNames:
            page = self.document.Sheets.getByName(name)
            found[name] = {"protected": page.isProtected(), "visible": page.IsVisible, "tab": page.TabColor}
            found[name] |= {**_printed(page), **_sizes(page), **_formats(page, self.document.NumberFormats)}
            found[name]["conditions"] = _conditions(page, self.document.StyleFamilies.getByName("CellStyles"))
            if page.IsVisible:
                controller.setActiveSheet(page)
                frozen = (
                    [controller.SplitColumn, controller.SplitRow] if controller.hasFrozenPanes() else None
                )
                found[name] |= {"frozen": frozen, "grid": controller.ShowGrid}
        controller.setActiveSheet(active)
        return found

    def _unprotected(self, sheet):
        page = self.document.Sheets.getByName(sheet)
        page.unprotect("")
        return page

    def _select(self, sheet, address):
        page = self.document.Sheets.getByName(sheet)
        self.document.CurrentController.setActiveSheet(page)
        self.document.CurrentController.select(page.getCellRangeByName(address))

    def _replace_unasked(self):
        """Let the office not ask whether cells may be written over: nobody is there to answer."""
        how = properties(nodepath="/org.openoffice.Office.Calc/Input")
        update = "com.sun.star.configuration.ConfigurationUpdateAccess"
        settings = self.settings.createInstanceWithArguments(update, how)
        settings.ReplaceCellsWarning = False
        settings.commitChanges()

    def _area(self, name):
        return self.document.NamedRanges.getByName(name).ReferredCells

    def _go(self, name):
        self._do("GoToCell", ToPoint=self._area(name).getCellByPosition(0, 0).AbsoluteName)

    def _do(self, command, **arguments):
        frame = self.document.CurrentController.Frame
        self.dispatcher.executeDispatch(frame, ".uno:" + command, "", 0, properties(**arguments))


def _connected(pipe):
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    until = time.monotonic() + SECONDS_TO_START
    while True:
        try:
            return resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except NoConnectException:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)


def _used(page):
    cursor = page.createCursor()
    cursor.gotoEndOfUsedArea(False)
    end = cursor.RangeAddress
    return page.getCellRangeByPosition(0, 0, end.EndColumn, end.EndRow)


def _printed(page):
    areas = [[area.StartColumn, area.StartRow, area.EndColumn, area.EndRow] for area in page.getPrintAreas()]
    rows = page.getTitleRows()
    return {
        "print areas": areas,
        "repeated rows": [rows.StartRow, rows.EndRow] if page.getPrintTitleRows() else None,
        "pages begin": [mark.Position for mark in page.RowPageBreaks if mark.ManualBreak],
    }


def _sizes(page):
    end = _used(page).RangeAddress
    columns = [page.Columns.getByIndex(number) for number in range(end.EndColumn + 1)]
    rows = [page.Rows.getByIndex(number) for number in range(end.EndRow + 1)]
    return {
        "widths": [column.Width if column.IsVisible else 0 for column in columns],
        "heights": [row.Height for row in rows],
    }


def _formats(page, number_formats):
    """Return how cells look, which are open for typing, and the rules and the help of each."""
    looks, open_cells, rules = {}, [], []
    end = _used(page).RangeAddress
    for ranges in page.UniqueCellFormatRanges:
        where = sorted(ranges.RangeAddressesAsString.split(";"))
        # All at once: each question is a trip over the bridge.
        number_format, align, protection, rule, *look = ranges.getPropertyValues(ASKED)
        look = [number_formats.getByKey(number_format).FormatString, *look, align.value]
        looks.setdefault(json.dumps(look), []).extend(
            [column, row]
            for area in ranges.RangeAddresses
            for column in range(area.StartColumn, min(area.EndColumn, end.EndColumn) + 1)
            for row in range(area.StartRow, min(area.EndRow, end.EndRow) + 1)
        )
        if not protection.IsLocked:
            open_cells += where
        if rule.InputMessage:
            kind = rule.Type.value
            # The limits of a rule that has none are whatever the file format leaves there.
            limits = [rule.getFormula1(), rule.getFormula2(), rule.getOperator().value]
            limits = limits[: {"ANY": 0, "LIST": 1}.get(kind, 3)]
            rules.append([where, kind, limits, *(getattr(rule, name) for name in RULES)])
    return {
        "looks": {look: sorted(cells) for look, cells in looks.items() if cells},
        "open": sorted(open_cells),
        "rules": sorted(rules),
    }


def _conditions(page, styles):
    """Return the conditional formats: where, when, and what they change."""
    found = []
    for condition in page.ConditionalFormats.getConditionalFormats():
        where = sorted(condition.Range.RangeAddressesAsString.split(","))
        for number in range(condition.getCount()):
            entry = condition.getByIndex(number)
            style = styles.getByName(entry.StyleName)
            found.append([where, entry.Formula1, *(getattr(style, name) for name in LOOKS)])
    return sorted(found)


def main(pipe):
    desk = Desk(pipe)
    for line in sys.stdin:
        verb, *arguments = json.loads(line)
        try:
            answer = ["done", getattr(desk, verb)(*arguments)]
        except Exception:  # whatever it is, the test has to see it
            answer = ["failed", traceback.format_exc()]
        print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    main(sys.argv[1])

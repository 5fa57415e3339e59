"""Sheet Functions: every function, its arguments, an example and its source, from the registry."""

from __future__ import annotations

import textwrap

from weavefuncs import registry
from weavefuncs.addin.reference.examples import sheet_example
from weavefuncs.workbooks.book import BAND_HEIGHT, Book
from weavefuncs.workbooks.look import RULE

NAME = "Functions"

# Signs that surely fit on a line of each column, in small print.
SIGNS = (30, 50, 72, 44, 40)
LINE_HEIGHT = 11.5

# How high what stands on a printed page may be, in points, and how much of the first one its title takes: so
# a heading never stands below all else.
PAGE_HEIGHT = 760
TITLE_HEIGHT = 75


def write(book: Book) -> None:
    """Write the sheet."""
    sheet = book.sheet(NAME, [2, 30, 44, 62, 46, 40], "#A9B7B2")
    sheet.title(
        NAME,
        "Every function of this workbook. Use them in cells of your own: arguments in this order, those in "
        "brackets may be left out.",
        5,
    )
    look = sheet.look
    for column, heading in enumerate(("Function", "Gives", "Arguments", "Example", "Source"), start=1):
        sheet.write(3, column, heading, look.heading())
    small = {"text_wrap": True, "valign": "top", "align": "left", "indent": 1, "font_size": 9}
    wrapped = look.make(bottom=4, bottom_color=RULE, **small)
    strong = look.make(bottom=4, bottom_color=RULE, bold=True, **small)
    row = 4
    filled: float = TITLE_HEIGHT
    module = ""
    for name in registry.names():
        function = registry.get(name)
        texts = (
            book.spelled(function.sheet_name + "(").rstrip("("),
            function.docstring.summary,
            arguments_text(function),
            sheet_example(function),
            " ".join(function.docstring.sections.get("References", [])),
        )
        lines = max(len(textwrap.wrap(text, signs)) for text, signs in zip(texts, SIGNS))
        height = LINE_HEIGHT * lines + 3
        begins = function.module != module
        needed = height + (BAND_HEIGHT if begins else 0)
        if filled + needed > PAGE_HEIGHT:
            sheet.new_page(row)
            filled = 0
        filled += needed
        if begins:
            module = function.module
            sheet.band(row, module.capitalize(), 5)
            row += 1
        for column, text in enumerate(texts, start=1):
            sheet.page.write_string(row, column, text, strong if column == 1 else wrapped)
        sheet.page.set_row(row, height)
        row += 1
    sheet.page.freeze_panes(4, 2)
    sheet.printing(True, NAME, (row, 5), (3, 3))


def arguments_text(function: registry.Function) -> str:
    """Write the arguments in order with their units; those that may be left out in brackets."""
    words = []
    for parameter in function.parameters:
        text = parameter.name.replace("_", " ")
        if parameter.choices:
            text += " (" + ", ".join(parameter.choices) + ")"
        elif parameter.unit:
            text += f" ({parameter.unit.replace('_', ' ')})"
        if not parameter.required:
            default = parameter.default
            shown = (
                ""
                if default in ("", 0, False)
                else f" = {default:.6g}"
                if isinstance(default, float)
                else f" = {default}"
            )
            text = f"[{text}{shown}]"
        words.append(text)
    if function.variadic:
        words.append("the arguments of that function")
    return ", ".join(words)

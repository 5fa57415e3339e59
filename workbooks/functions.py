"""Sheet Functions: every function, its arguments, an example and its source, from the registry."""

from __future__ import annotations

from weavefuncs import registry
from weavefuncs.addin.reference.examples import sheet_example
from weavefuncs.workbooks.book import Book

NAME = "Functions"


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
    wrapped = look.make(text_wrap=True, valign="top", bottom=4, bottom_color="#C9D2CE", font_size=9)
    strong = look.make(text_wrap=True, valign="top", bottom=4, bottom_color="#C9D2CE", font_size=9, bold=True)
    row = 4
    module = ""
    for name in registry.names():
        function = registry.get(name)
        if function.module != module:
            module = function.module
            sheet.band(row, module.capitalize(), 5)
            row += 1
        arguments = arguments_text(function)
        example = sheet_example(function)
        source = " ".join(function.docstring.sections.get("References", []))
        texts = (
            book.spelled(function.sheet_name + "(").rstrip("("),
            function.docstring.summary,
            arguments,
            example,
            source,
        )
        for column, text in enumerate(texts, start=1):
            sheet.page.write_string(row, column, text, strong if column == 1 else wrapped)
        lines = max(len(text) / width for text, width in zip(texts, (30, 46, 64, 46, 40)))
        sheet.page.set_row(row, 13 * (1 + int(lines)))
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

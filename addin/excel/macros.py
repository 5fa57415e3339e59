"""The two actions on what is selected, as macros: Alt+F8 lists them where the functions are."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from weavefuncs.addin.excel._xlwings import xw
from weavefuncs.addin.excel.actions import RefusedError, WeaveError, draw_cloth, float_report
from weavefuncs.addin.picture import WARP_COLOUR, WEFT_COLOUR

if TYPE_CHECKING:
    from collections.abc import Callable

TITLE = "weavefuncs"


def _question(text: str, default: str = "") -> str:
    """Write the VBA that asks; a cancelled question gives an empty text, as a blank answer does."""
    return f'InputBox("{text}", "{TITLE}", "{default}")'


@xw.sub
@xw.arg("ends", vba=_question("How many ends? Blank: as many as the selected grid has, 24 for a weave text."))
@xw.arg(
    "picks", vba=_question("How many picks? Blank: as many as the selected grid has, 24 for a weave text.")
)
@xw.arg("reversals", vba=_question("Rows each way, such as 9,9? Blank: it never turns."))
@xw.arg("warp", vba=_question("Colour order of the warp, such as 8 white, 4 blue? Blank: one pale colour."))
@xw.arg("weft", vba=_question("Colour order of the weft? Blank: one dark colour."))
def weave_draw_cloth(ends, picks, reversals, warp, weft):  # type: ignore[no-untyped-def] # annotations choose converters
    """Draw the cloth of the selected weave into the sheet."""
    colours = warp or WARP_COLOUR, weft or WEFT_COLOUR
    _on_selection(lambda selected: draw_cloth(selected, ends, picks, reversals, *colours))


@xw.sub
@xw.arg("limit", vba=_question("Threads that a float may cross?", "4"))
def weave_float_report(limit):  # type: ignore[no-untyped-def] # annotations choose converters
    """List the floats of the selected grid that cross more threads than a limit, beside the grid."""
    if limit is not None:
        _on_selection(lambda selected: float_report(selected, limit))


def _on_selection(action: Callable[[Any], object]) -> None:
    book = xw.Book.caller()
    try:
        if book.selection is None:
            raise RefusedError("Select the cells with the weave first.")
        action(book.selection)
    except (RefusedError, WeaveError) as problem:
        book.app.alert(str(problem), TITLE)
    except Exception as problem:
        # Excel says little about why it refuses; a protected sheet is the usual reason, as in the planner.
        book.app.alert(
            f"Excel refused: {problem}\n\nIf the sheet is protected: Review, Unprotect Sheet. The planner "
            "has no password.",
            TITLE,
        )
        raise

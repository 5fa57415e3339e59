"""What a cell function cannot do: draw a cloth into the sheet, and write a report beside a grid.

Both take a range of xlwings, also from a script: ``draw_cloth(xw.books.active.selection)``. They read the
sheet and write into it; what they write is worked out by the functions and by the picture.
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from weavefuncs.addin.cells import NONE_FOUND, evaluate
from weavefuncs.addin.excel.calls import READING, read
from weavefuncs.addin.picture import WARP_COLOUR, WEFT_COLOUR, write_picture
from weavefuncs.errors import WeaveError

if TYPE_CHECKING:
    import xlwings as xw

# A weave that is a text has no size of its own: so many ends and picks are drawn.
ENDS_AND_PICKS_OF_A_TEXT = 24

# In points: what fits beside a grid on most screens. The user may make it larger, the picture has the detail.
WIDEST_PICTURE = 480

# How a line of a report begins.
FIRST_WORDS = ("warp", "weft", NONE_FOUND)

HEADINGS = ["system", "side", "thread", "from", "to", "threads", "length"]


class RefusedError(Exception):
    """What keeps an action from its work, told in plain words."""


def draw_cloth(
    selected: xw.Range,
    ends: Any = None,
    picks: Any = None,
    reversals: Any = None,
    warp_colours: str = WARP_COLOUR,
    weft_colours: str = WEFT_COLOUR,
) -> xw.Picture:
    """Draw the cloth of the selected weave into the sheet, to the right of it.

    Drawn again, the picture takes the place of the one before, where the user has put it.

    Parameters
    ----------
    selected : Range
        One cell with a weave text such as ``2/2 twill``, or a grid of 1 and 0, bottom row first.
    ends, picks : number
        Size of the piece; when not given, that of the grid, or 24 for a text.
    reversals : str
        Rows each way, such as ``9,9``; when not given it never turns.
    warp_colours, weft_colours : str
        One colour, or a colour order such as ``8 white, 4 #204080`` or ``(2 ecru, 1 plum) x 6``.

    Returns
    -------
    Picture
        The picture in the sheet.

    Raises
    ------
    RefusedError
        When the cells hold no weave.
    WeaveError
        When the piece is too large for a picture, or a colour cannot be read.
    """
    cells = _cells(selected)
    rows, columns = selected.shape
    is_text = rows == columns == 1
    cloth = _asked(
        "WEAVE.DRAWDOWN",
        cells,
        ends or (ENDS_AND_PICKS_OF_A_TEXT if is_text else columns),
        picks or (ENDS_AND_PICKS_OF_A_TEXT if is_text else rows),
        reversals,
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cloth.png"
        # What is asked for comes back as it stands in cells; the picture counts from pick 1.
        write_picture(
            path,
            cloth[::-1],
            len(cloth[0]),
            len(cloth),
            warp_colours=warp_colours,
            weft_colours=weft_colours,
        )
        return _placed(path, selected)


def _placed(path: Path, selected: xw.Range) -> xw.Picture:
    """Put a picture beside a range, or in the place of the one that was put there before."""
    sheet = selected.sheet
    name = f"Cloth of {selected.get_address(False, False)}"
    if name in sheet.pictures:
        before = sheet.pictures[name]
        # The new one is there before the old one goes.
        picture = sheet.pictures.add(path, left=before.left, top=before.top)
        before.delete()
        picture.name = name
    else:
        beside = sheet.range((selected.row, selected.column + selected.shape[1] + 1))
        picture = sheet.pictures.add(path, name=name, anchor=beside)
    if picture.width > WIDEST_PICTURE:
        picture.lock_aspect_ratio = True
        picture.width = WIDEST_PICTURE
    return picture


def float_report(selected: xw.Range, limit: Any, sett: Any = None, weft_sett: Any = None) -> int:
    """List every float of the selected grid that crosses more threads than a limit, to the right of the grid.

    A report that stands there already is replaced; anything else is left alone, and refused.

    Parameters
    ----------
    selected : Range
        A grid of 1 and 0, bottom row first.
    limit : number
        Threads that a float may cross.
    sett, weft_sett : number
        Setts, for the lengths of the floats; when not given they stay blank.

    Returns
    -------
    int
        Number of floats found.

    Raises
    ------
    RefusedError
        When the cells hold no grid, or the cells beside it are in use.
    """
    found = _asked("WEAVE.FLOATSOVER", _cells(selected), limit, sett, weft_sett)
    report = [] if found == NONE_FOUND else found
    sheet = selected.sheet
    corner = sheet.range((selected.row, selected.column + selected.shape[1] + 1))
    before = _report_before(corner)
    lines = [HEADINGS, *report] if report else [HEADINGS, [NONE_FOUND] + [None] * (len(HEADINGS) - 1)]
    goal = corner.resize(len(lines), len(HEADINGS))
    beyond = _cells(goal)[before:]
    if any(value is not None for row in beyond for value in row):
        raise RefusedError(
            f"The report needs the cells {goal.get_address(False, False)}, and something stands there: "
            "make room, or copy the grid to another sheet."
        )
    if before:
        corner.resize(before, len(HEADINGS)).clear_contents()
    goal.value = lines
    return len(report)


def _report_before(corner: xw.Range) -> int:
    """Count the rows of a report that starts at a cell, its headings included; 0 where there is none."""
    if _cells(corner.resize(1, len(HEADINGS))) != [HEADINGS]:
        return 0
    rows = _cells(corner.expand("down"))
    # What the user wrote right below does not begin as a line of a report does.
    return next(
        (number for number, row in enumerate(rows) if number and row[0] not in FIRST_WORDS), len(rows)
    )


def _cells(cells: xw.Range) -> list[list[Any]]:
    value = read(cells.options(**READING).value)
    return value if isinstance(value, list) else [[value]]


def _asked(name: str, *arguments: Any) -> Any:
    """Ask a function; refuse with its own reason where it refuses."""
    reason = evaluate("WEAVE.WHY", (name, *arguments))
    if reason:
        raise RefusedError(str(reason))
    return evaluate(name, arguments)


__all__ = ["RefusedError", "WeaveError", "draw_cloth", "float_report"]

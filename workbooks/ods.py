"""Turn built planners into .ods: a developers' step that needs LibreOffice Calc, so that no user does.

Calc does it with our add-in in it, for without it Calc would not know the functions and write their names in
small letters. What is lost on the way is put back, and what Calc adds of its own machine is taken out.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple
from xml.sax.saxutils import quoteattr

from weavefuncs.workbooks.look import FONT

OFFICE = "soffice"
LONGEST_SECONDS = 300

# A zip file cannot say "no date"; this is the first that it can say.
NO_DATE = (1980, 1, 1, 0, 0, 0)

# The first sheet of a planner; and how wide a sign is by which its columns are counted.
FIRST_SHEET = "xl/worksheets/sheet1.xml"
INCHES_A_SIGN = 7 / 96

# Calc measures in the unit of the language that it runs in.
PER_INCH = {"in": 1.0, "cm": 2.54}

# A picture of the first page and empty folders for tool bars.
LEFT_OUT = ("Thumbnails/", "Configurations2/")

_PRINTER = re.compile(r'<config:config-item config:name="Printer(?:Name|Setup)".*?</config:config-item>')
_BUILT_IN_NAME = re.compile(r'<table:named-range table:name="_xlnm\.[^>]*/>')
_DEFAULT_STYLE = re.compile(r'<style:style style:name="Default" style:family="table-cell">.*?</style:style>')
# The font of a cell that has no look of its own: Calc writes the one that it chose for the machine.
_FONT_OF_ALL = re.compile(
    r'(<style:default-style style:family="table-cell">.*?<style:text-properties style:font-name=")[^"]*"'
)
_FONT = (
    f'<style:font-face style:name="{FONT}" svg:font-family="&apos;{FONT}&apos;"'
    ' style:font-family-generic="swiss" style:font-pitch="variable"/>'
)
_WIDTH = re.compile(r'(style:column-width)="([\d.]+)(in|cm)"')
_CHART = re.compile(r"<(?:draw:frame|chart:chart) [^>]*>")
_ACROSS = re.compile(r'(svg:x|svg:width)="([\d.]+)(in|cm)"')
_FONTS_END = "</office:font-face-decls>"
_VIEWS_GO_HERE = '</config:config-item-set><config:config-item-set config:name="ooo:configuration-settings">'


class View(NamedTuple):
    """What Calc drops of a sheet when no window is open."""

    name: str
    tab_colour: str
    frozen_columns: int
    frozen_rows: int


def convert(planners: Sequence[Path], folder: Path) -> None:
    """Write each built planner as .ods into the folder, under its own name.

    Raises
    ------
    RuntimeError
        When there is no office, or it did not do it.
    """
    from weavefuncs.addin.calc.build import build
    from weavefuncs.addin.calc.office import environment

    office = shutil.which(OFFICE)
    if office is None:
        raise RuntimeError(f"the .ods planners are made by LibreOffice Calc, and there is no {OFFICE} here")
    with tempfile.TemporaryDirectory(prefix="weavefuncs-") as scratch:
        # An unpacked extension in the folder for bundled ones is there from the first start on, for any user.
        extensions = Path(scratch) / "extensions"
        with zipfile.ZipFile(build(scratch)) as archive:
            archive.extractall(extensions / "weavefuncs")
        done = subprocess.run(
            [
                office,
                f"-env:UserInstallation={(Path(scratch) / 'profile').as_uri()}",
                f"-env:BUNDLED_EXTENSIONS={extensions.as_uri()}",
                "--headless",
                "--convert-to",
                "ods",
                "--outdir",
                scratch,
                *map(str, planners),
            ],
            capture_output=True,
            text=True,
            timeout=LONGEST_SECONDS,
            env=environment(),
            check=False,
        )
        for planner in planners:
            converted = Path(scratch) / f"{planner.stem}.ods"
            if not converted.exists():
                raise RuntimeError(f"LibreOffice did not convert {planner}: {done.stderr or done.stdout}")
            finish(converted, planner, folder / converted.name)


def finish(converted: Path, planner: Path, out: Path) -> None:
    """Write what Calc made of a planner again, mended and without what it says of the machine it was made on.

    Parameters
    ----------
    converted : Path
        The .ods that Calc wrote.
    planner : Path
        The .xlsx that it read.
    out : Path
        Where the planner for users goes.

    Raises
    ------
    RuntimeError
        When Calc wrote it without knowing our functions.
    """
    views = _views(planner)
    with zipfile.ZipFile(converted) as archive:
        members = {name: archive.read(name) for name in archive.namelist() if not name.startswith(LEFT_OUT)}
    content = members["content.xml"].decode()
    if re.search(r'table:formula="[^"]*weave\.', content):
        raise RuntimeError(f"LibreOffice converted {planner} without the add-in: its functions are not known")
    content = _BUILT_IN_NAME.sub("", content)
    # Or Calc would set the height of each row anew, by the font that the machine has.
    content = content.replace('style:use-optimal-row-height="true"', 'style:use-optimal-row-height="false"')
    share = _share_of_widths(content, planner)
    content = _with_widths(content, share)
    members["content.xml"] = _with_tab_colours(content, views).encode()
    # A chart holds its own width as well.
    for name in (name for name in members if re.fullmatch(r"Object \d+/content\.xml", name)):
        members[name] = _with_widths(members[name].decode(), share).encode()
    # What is said here, a font and its size, a condition would lay over the cells that it tints.
    styles, found = _DEFAULT_STYLE.subn(
        '<style:style style:name="Default" style:family="table-cell"/>', members["styles.xml"].decode()
    )
    assert found == 1, "the styles that Calc writes look different"
    styles, found = _FONT_OF_ALL.subn(rf'\g<1>{FONT}"', styles)
    assert found == 1, "the styles that Calc writes look different"
    if _FONT not in styles:
        styles = styles.replace(_FONTS_END, _FONT + _FONTS_END)
    members["styles.xml"] = styles.encode()
    settings = _PRINTER.sub("", members["settings.xml"].decode())
    assert settings.count(_VIEWS_GO_HERE) == 1, "the settings that Calc writes look different"
    members["settings.xml"] = settings.replace(_VIEWS_GO_HERE, _as_settings(views) + _VIEWS_GO_HERE).encode()
    manifest = members["META-INF/manifest.xml"].decode()
    for folder in LEFT_OUT:
        manifest = re.sub(
            rf'(?<!\s)\s*<manifest:file-entry manifest:full-path="{folder}[^>]*/>', "", manifest
        )
    members["META-INF/manifest.xml"] = manifest.encode()
    _write(out, members)


def _write(path: Path, members: dict[str, bytes]) -> None:
    with zipfile.ZipFile(path, "w") as archive:
        # The first member tells what the file is, and is not compressed.
        for name in ("mimetype", *sorted(members.keys() - {"mimetype"})):
            member = zipfile.ZipInfo(name, NO_DATE)
            member.compress_type = zipfile.ZIP_STORED if name == "mimetype" else zipfile.ZIP_DEFLATED
            archive.writestr(member, members[name])


def _views(planner: Path) -> list[View]:
    """Read the views of a planner as our builder writes them: the sheets in order, one part each."""
    with zipfile.ZipFile(planner) as archive:
        names = re.findall(r'<sheet name="([^"]*)"', archive.read("xl/workbook.xml").decode())
        parts = [
            archive.read(f"xl/worksheets/sheet{number}.xml").decode() for number in range(1, len(names) + 1)
        ]
    return [View(name, *_view(part)) for name, part in zip(names, parts)]


def _view(sheet: str) -> tuple[str, int, int]:
    colour = re.search(r'<tabColor rgb="FF(\w{6})"/>', sheet)
    assert colour, "every sheet of the planner has a colour"
    pane = re.search(r'<pane [^>]*state="frozen"/>', sheet)
    columns, rows = (
        re.search(rf' {split}="(\d+)"', pane[0] if pane else "") for split in ("xSplit", "ySplit")
    )
    return colour[1], int(columns[1]) if columns else 0, int(rows[1]) if rows else 0


def _share_of_widths(content: str, planner: Path) -> float:
    """Return how much of the widths that Calc wrote columns have where the font of the planner is there.

    In an .xlsx they are counted in signs of the workbook's font, and Calc takes those of the font that the
    machine has in its place: all widths are off by the same share, and squares are not square.
    """
    with zipfile.ZipFile(planner) as archive:
        signs = re.search(r'<col min="1" max="1" width="([\d.]+)"', archive.read(FIRST_SHEET).decode())
    style = re.search(r'<table:table-column table:style-name="(\w+)"', content)
    assert signs, "the first sheet has columns"
    assert style, "the columns that Calc writes look different"
    widths = re.search(rf'<style:style style:name="{style[1]}".*?{_WIDTH.pattern}', content)
    assert widths, "the columns that Calc writes look different"
    return float(signs[1]) * INCHES_A_SIGN * PER_INCH[widths[3]] / float(widths[2])


def _with_widths(content: str, share: float) -> str:
    """Write a share of all widths: of columns and charts, and of how far from the left charts stand."""

    def mended(length: re.Match[str]) -> str:
        return f'{length[1]}="{float(length[2]) * share:.4f}{length[3]}"'

    content = _WIDTH.sub(mended, content)
    return _CHART.sub(lambda chart: _ACROSS.sub(mended, chart[0]), content)


def _with_tab_colours(content: str, views: list[View]) -> str:
    for view in views:
        style = re.search(rf'<table:table table:name="{view.name}" table:style-name="(\w+)"', content)
        assert style, view.name
        content = re.sub(
            rf'(<style:style style:name="{style[1]}" style:family="table"[^>]*><style:table-properties )',
            rf'\g<1>tableooo:tab-color="#{view.tab_colour}" ',
            content,
        )
    return content


def _as_settings(views: list[View]) -> str:
    """Write which sheet is seen first, and which rows and columns of each stand still."""
    tables = "".join(
        _entry(view.name, _frozen(view) + _item("ShowGrid", "boolean", "false")) for view in views
    )
    return (
        '<config:config-item-map-indexed config:name="Views"><config:config-item-map-entry>'
        + _item("ViewId", "string", "view1")
        + f'<config:config-item-map-named config:name="Tables">{tables}</config:config-item-map-named>'
        + _item("ActiveTable", "string", views[0].name)
        + "</config:config-item-map-entry></config:config-item-map-indexed>"
    )


def _frozen(view: View) -> str:
    if not view.frozen_rows:
        return ""
    items = [("ActiveSplitRange", "short", 3 if view.frozen_columns else 2)]
    for way, side, count in (
        ("Horizontal", "Right", view.frozen_columns),
        ("Vertical", "Bottom", view.frozen_rows),
    ):
        # 2 is frozen; 0 is not divided.
        items += [
            (f"{way}SplitMode", "short", 2 if count else 0),
            (f"{way}SplitPosition", "int", count),
            (f"Position{side}", "int", count),
        ]
    return "".join(_item(name, kind, str(value)) for name, kind, value in items)


def _entry(name: str, items: str) -> str:
    return (
        f"<config:config-item-map-entry config:name={quoteattr(name)}>{items}</config:config-item-map-entry>"
    )


def _item(name: str, kind: str, value: str) -> str:
    return f'<config:config-item config:name="{name}" config:type="{kind}">{value}</config:config-item>'

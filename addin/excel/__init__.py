"""The functions inside Excel, through xlwings.

- :mod:`~weavefuncs.addin.excel.functions` holds every function of the registry as ``WEAVE_…``, for Excel on
  Windows;
- :mod:`~weavefuncs.addin.excel.vba` writes the module that a workbook needs to call them;
- :mod:`~weavefuncs.addin.excel.install` sets a computer up and tells how a workbook gets that module;
- :mod:`~weavefuncs.addin.excel.actions` draws a cloth into a sheet and reports its floats;
- :mod:`~weavefuncs.addin.excel.server` is another route, for Office custom functions, **under a licence of
  its own**. Nothing imports it.

**Where the functions live.** In the workbook that uses them, saved as ``.xlsm``. A formula then names a
function of its own file, and no path of an add-in can get into it. A function that lives in an add-in file
(``.xlam``) is a link to that file: Microsoft's article 817578 says that Excel keeps the last path of the
add-in, and writes it into each formula where the add-in is not found. What somebody gets who is sent a file:

=========  ============================================================================================
file       what it holds, and what the other person sees
=========  ============================================================================================
``.xlsm``  formulas by name, results, two modules of code, no path. Results show; where macros are blocked
           or Python is lacking, a cell that is calculated anew shows an error.
``.xlsx``  formulas by name, results, no code. Results show; a cell that is calculated anew shows
           ``#NAME?``. ``weavefuncs recalc`` calculates it. This is the one to send.
=========  ============================================================================================

**Errors.** xlwings puts the text of an exception into the cell. Here the module is rewritten so that it is
the error value ``#VALUE!``, whichever error value an argument held, and for a whole call: xlwings cannot
return an error value for one row of a column, so a bad row makes all rows errors. ``WEAVE_WHY`` names it.

**Arrays.** A function that gives several cells gives them as one array: it spills where Excel spills, and
elsewhere it fills the cells that were selected when Ctrl+Shift+Enter was pressed. xlwings can also spread a
result over its neighbours on its own, but overwrites what stands there: not used.

**What was tried.** No Excel could be run. xlwings' own code was: its writer of wrappers and its dispatcher,
with stand-ins for the Windows modules below them. All that is said of Excel was read in xlwings' source or in
Microsoft's documentation.
"""

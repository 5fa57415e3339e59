"""The functions in Excel on every system, and on a web page of their own: static files that run in a browser.

- :func:`weavefuncs.addin.web.build.build` writes the folder of files, with Node and npm;
- :mod:`weavefuncs.addin.web.serve` serves it to this computer alone;
- ``bridge.py`` runs in the browser, in Pyodide, and hands cells to the adapter.
"""

"""The functions inside LibreOffice Calc: an extension (.oxt), generated from the registry.

- :func:`weavefuncs.addin.calc.build.build` writes the extension;
- :mod:`weavefuncs.addin.calc.install` finds the office and puts the extension in, or takes it out.

``component.py`` runs inside the office and is never imported here.
"""

"""The one bibliography. Docstrings and tables cite these keys.

Each entry says what was read and how. ``seen``: read in the source named.
``practice``: a fact of the trade with no source. ``memory``: known, not read.
"""

SOURCES = {
    "UNITS": "GNU units, file definitions.units, yarn section (seen).",
    "PINT": "pint, default registry, group Textile (seen).",
    "TAYLOR": "John T. Taylor, Cotton Weaving and Designing, 6th edition (public domain; seen).",
    "BROOKS": "C. P. Brooks, Cotton Manufacturing, 3rd edition, 1892 (public domain; seen).",
    "WOLF": "Arnold Wolfensberger, Theory of Silk Weaving (public domain; seen).",
    "ASHENHURST": "T. R. Ashenhurst's diameter rule, as reported by a weavers' study group, 1999 (seen).",
    "D3883": "ASTM D3883, Yarn Crimp and Yarn Take-up in Woven Fabrics, definitions (seen).",
    "PEIRCE": "F. T. Peirce, The Geometry of Cloth Structure, Journal of the Textile Institute, 1937, "
    "through a later lecture text (seen).",
    "BRIERLEY": "S. Brierley's setting theory, through a published examination question (seen).",
    "GATE2006": "Graduate Aptitude Test in Engineering, Textile Engineering and Fibre Science, 2006 (seen).",
    "GATE2007": "Graduate Aptitude Test in Engineering, Textile Engineering and Fibre Science, 2007 (seen).",
    "GATE2008": "Graduate Aptitude Test in Engineering, Textile Engineering and Fibre Science, 2008 (seen).",
    "GATE2009": "Graduate Aptitude Test in Engineering, Textile Engineering and Fibre Science, 2009 (seen).",
    "MP598": "University of Missouri Extension, publication MP598, pricing crafts (seen).",
    "LOUISIANA": "Louisiana Voices, a state education project, unit on pricing crafts (seen).",
    "TRAINING": "A trade-training text on weaving preparation: reed counts (seen).",
    "PRACTICE": "Common practice, no source.",
    "MEMORY": "From memory, not read.",
    "EXACT": "Exact definition or arithmetic.",
}

"""Exponents of the average float in Brierley's setting rule.

Twills are [BRIERLEY]; satins and baskets are from memory ([MEMORY]). Plain
weave has an average float of 1, which every power leaves at 1.
"""

FLOAT_EXPONENTS = {
    "plain": 1.0,
    "twill": 0.39,
    "broken twill": 0.39,
    "herringbone": 0.39,
    "satin": 0.42,
    "sateen": 0.42,
    "basket": 0.45,
}

FUNCTIONS: dict[str, str] = {"why": "explain"}
SHEET_NAMES: dict[str, str] = {}

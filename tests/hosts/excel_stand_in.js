/*
 * Stands in for Microsoft's script and for Excel behind it, at their documented surface: what the page calls,
 * and how Excel calls a custom function. Not a test.
 *
 * Documentation: "Manually create JSON metadata for custom functions", "Handle and return errors from your
 * custom function", "Custom functions parameter options".
 */
(() => {
  const associated = new Map();
  const codes = {
    invalidValue: "#VALUE!", notAvailable: "#N/A", divisionByZero: "#DIV/0!", invalidNumber: "#NUM!",
    nullReference: "#NULL!", invalidName: "#NAME?", invalidReference: "#REF!",
  };

  class CustomFunctionsError extends Error {
    constructor(code, message) {
      super(message ?? "");
      this.code = code;
    }
  }

  window.CustomFunctions = {
    ErrorCode: codes,
    Error: CustomFunctionsError,
    associate(id, call) {
      if (typeof id !== "string" || typeof call !== "function") throw new TypeError("associate(id, function)");
      if (associated.has(id)) throw new Error(`${id} is associated twice`);
      associated.set(id, call);
    },
  };
  window.Office = {
    onReady: async () => {
      // The page has done its part: a test waits for this mark.
      document.documentElement.dataset.office = "ready";
      return { host: "Excel", platform: "OfficeOnline" };
    },
  };

  // An error cell comes over from the test as {error: code}.
  const given = (value) => {
    if (Array.isArray(value)) return value.map(given);
    return value !== null && typeof value === "object" ? new CustomFunctionsError(value.error) : value;
  };

  // Only these come out of a function as they are; invalidName and invalidReference may only go in.
  const returnable = Object.values(codes).slice(0, 5);
  const shown = (value) => {
    if (value instanceof CustomFunctionsError && returnable.includes(value.code)) return { error: value.code };
    if (typeof value === "string" || typeof value === "boolean" || Number.isFinite(value)) return value;
    throw new TypeError(`a cell cannot show ${value}`);
  };

  const invoke = async (id, args) => {
    // The last argument of each call holds facts about it.
    const call = associated.get(id);
    let rows;
    try {
      rows = await call(...args.map(given), { functionName: id });
    } catch (problem) {
      if (!(problem instanceof CustomFunctionsError)) throw problem;
      return { rows: [[shown(problem)]], message: problem.message };
    }
    const width = rows[0].length;
    if (!rows.every((row) => row.length === width)) throw new TypeError("rows of different lengths");
    return { rows: rows.map((row) => row.map(shown)), message: "" };
  };

  window.standIn = {
    associated: () => [...associated.keys()],
    // As Excel recalculates: all calls are made before any has answered.
    recalculate: (calls) => Promise.all(calls.map(([id, args]) => invoke(id, args))),
  };
})();

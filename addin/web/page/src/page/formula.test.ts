import { describe, expect, it } from "vitest";
import { argumentsOf, formulaOf } from "./formula";
import type { Given } from "./typed";

describe("a formula", () => {
  it("leaves out what is blank at its end, and keeps the place of what is blank within", () => {
    expect(formulaOf("WEAVE.ENDS", [15, 24, null, null])).toBe("=WEAVE.ENDS(15,24)");
    expect(formulaOf("WEAVE.ENDS", [15, null, 4])).toBe("=WEAVE.ENDS(15,,4)");
    expect(formulaOf("WEAVE.ENDS", [null])).toBe("=WEAVE.ENDS()");
  });

  it("doubles quotes, and joins a text too long for one pair of them", () => {
    expect(formulaOf("F", ['a "b"'])).toBe('=F("a ""b""")');
    expect(formulaOf("F", ["x".repeat(256)])).toBe(`=F("${"x".repeat(255)}"&"x")`);
  });

  it("writes rows of cells as a constant", () => {
    expect(formulaOf("F", [[[1, 0], [0, 1]], [["a"], [null]], true])).toBe('=F({1,0;0,1},{"a";""},TRUE)');
  });

  it("is read back into the values it was written from", () => {
    const cases: Given[][] = [
      [15, 24, 4, null, 2],
      ["2/2 twill, (odd) ; {x}", 'say "so"', true, false],
      [[[1, 0, 1], [0, 1, 1]], [["a"], ["b;c"]], -0.5],
      [null],
    ];
    for (const values of cases) expect(argumentsOf(formulaOf("WEAVE.F", values))).toEqual(values);
  });
});

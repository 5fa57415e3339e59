import { describe, expect, it } from "vitest";
import { readReason } from "./reason";

describe("a reason", () => {
  const names = ["sett", "sett unit", "weft sett", "warp"];

  it("is about the argument it begins with, the longest name first", () => {
    expect(readReason("F: sett must be above 0; got 0", names).place).toBe(0);
    expect(readReason("F: sett unit must be one of in, cm; got 'ft'", names).place).toBe(1);
    expect(readReason("F: weft sett in row 2 must be above 0; got 0", names).place).toBe(2);
    expect(readReason("F: the cell given as warp is itself an error (#N/A)", names).place).toBe(3);
  });

  it("is about none where it begins otherwise", () => {
    expect(readReason("F: setting must be anything", names).place).toBe(-1);
    expect(readReason("", names)).toEqual({ place: -1, sentence: "" });
  });

  it("is told as a sentence, without the name of the function", () => {
    expect(readReason("ENDS: warp must be given; nothing was given", names).sentence).toBe(
      "Warp must be given; nothing was given",
    );
  });
});

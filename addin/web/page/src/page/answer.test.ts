import { describe, expect, it } from "vitest";
import { cellText, sizeOf } from "./answer";

describe("an answer", () => {
  it("shows what a cell shows, without the dust of arithmetic", () => {
    expect(cellText(0.1 + 0.2)).toBe("0.3");
    expect(cellText(360)).toBe("360");
    expect(cellText(1234567.891)).toBe("1234567.891");
    expect(cellText(true)).toBe("TRUE");
    expect(cellText({ error: "#N/A" })).toBe("#N/A");
    expect(cellText(null)).toBe("");
  });

  it("tells the size of a table", () => {
    expect(sizeOf(7)).toBe("");
    expect(sizeOf([[1, 2]])).toBe("1 row by 2 columns.");
    expect(sizeOf(Array.from({ length: 301 }, () => [1]))).toBe("301 rows by 1 column, the first 300 rows shown.");
  });
});

import { describe, expect, it } from "vitest";
import type { ArgumentInfo } from "../engine/engine";
import { read, written } from "./typed";

function argument(kind: string): ArgumentInfo {
  return {
    name: "a",
    words: "a",
    help: "",
    kind,
    unit: "",
    required: true,
    default: "",
    choices: [],
    list: kind.startsWith("list of "),
    grid: kind === "grid",
  };
}

describe("what was typed", () => {
  it("is a number only where a number is meant and a sheet would see one", () => {
    expect(read(argument("number"), " 12.50 ")).toBe(12.5);
    expect(read(argument("whole"), "-3")).toBe(-3);
    expect(read(argument("number"), "1e3")).toBe(1000);
    expect(read(argument("number"), "12 in")).toBe("12 in");
    expect(read(argument("number"), "1,5")).toBe("1,5");
    expect(read(argument("text"), "12")).toBe("12");
    expect(read(argument("reversals"), "9,9")).toBe("9,9");
  });

  it("is not given where nothing or only blanks were typed", () => {
    for (const kind of ["number", "text", "grid", "list of numbers", "logical"]) {
      expect(read(argument(kind), " \n ")).toBeNull();
    }
  });

  it("is true or false where that is meant", () => {
    expect(read(argument("logical"), "true")).toBe(true);
    expect(read(argument("logical"), "false")).toBe(false);
  });

  it("is a column where a list is meant, one item a line or parted by semicolons", () => {
    expect(read(argument("list of numbers"), "1\n2,5\n\n3")).toEqual([[1], ["2,5"], [3]]);
    expect(read(argument("list of texts"), "warm red; 12")).toEqual([["warm red"], ["12"]]);
  });

  it("is a grid as it stands, its signs together or apart", () => {
    const grid = [
      [0, 1, 1],
      [1, 0, 0],
    ];
    expect(read(argument("grid"), "011\n100")).toEqual(grid);
    expect(read(argument("grid"), "0 1 1\r\n1,0,0\n")).toEqual(grid);
    expect(read(argument("grid"), "0 x")).toEqual([[0, "x"]]);
    expect(read(argument("weave"), "011\n100")).toEqual(grid);
    expect(read(argument("weave"), "2/2 twill")).toBe("2/2 twill");
    expect(read(argument("weave"), "101 010")).toBe("101 010");
  });

  it("comes back as it was read", () => {
    const cases: [string, string][] = [
      ["number", "2.5"],
      ["yarn", "8/2 Ne"],
      ["logical", "true"],
      ["whole", "1; 9; 10"],
      ["list of wholes", "1\n2\n4"],
      ["weave", "101\n010"],
      ["grid", "10\n01"],
      ["grid", "10 2\n1 1"],
    ];
    for (const [kind, text] of cases) expect(written(argument(kind), read(argument(kind), text))).toBe(text);
  });
});

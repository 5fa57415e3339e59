import { describe, expect, it } from "vitest";
import type { FunctionInfo } from "../engine/engine";
import { search } from "./search";

function info(name: string, summary: string, argument = ""): FunctionInfo {
  return {
    name: `WEAVE.${name}`,
    python: name.toLowerCase(),
    group: "Warp",
    summary,
    returns: "number",
    example: "",
    repeats: false,
    args: [
      { name: argument, words: argument, help: "", kind: "number", unit: "", required: true, default: "", choices: [], list: false, grid: false },
    ],
  };
}

describe("the search", () => {
  const known = [
    info("PICKSFOR", "Picks for a length of cloth."),
    info("BOUTS", "Bouts that a warp is wound in.", "ends"),
    info("ENDS", "How many ends a width takes."),
    info("LEGENDS", "A name that only holds the word."),
  ];
  const found = (asked: string): string[] => search(known, asked).map((entry) => entry.name.slice(6));

  it("gives all in their order where nothing is asked", () => {
    expect(found("  ")).toEqual(["PICKSFOR", "BOUTS", "ENDS", "LEGENDS"]);
  });

  it("puts names before first lines before arguments, and the start of a word before its middle", () => {
    expect(found("ends")).toEqual(["ENDS", "LEGENDS", "BOUTS"]);
  });

  it("wants every word", () => {
    expect(found("ends width")).toEqual(["ENDS"]);
    expect(found("ends nothing")).toEqual([]);
  });

  it("takes signs as they are", () => {
    expect(found("(.*")).toEqual([]);
  });
});

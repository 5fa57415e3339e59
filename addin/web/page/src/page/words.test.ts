import { describe, expect, it } from "vitest";
import type { Float, Longest, Woven } from "./piece";
import { keptTogether, pictureWords, placeOf, untiedLine, whereOf } from "./words";

const float: Float = { system: "warp", face: "face", thread: 2, from: 8, to: 10, threads: 3 };
const woven: Woven = {
  ends: 4,
  rows: 18,
  first: 1,
  signs: Array.from({ length: 18 }, () => "1010"),
  colours: [],
  order: [],
  turnRows: [9],
  longest: [],
  edges: "",
  edgeFloat: 2,
  untied: [],
};

function longest(found: Float[], threads = 3, throughout = false): Longest {
  return { system: "warp", threads, throughout, found };
}

describe("the words", () => {
  it("say where a float lies, and that it lies where the weave turns", () => {
    expect(placeOf(float, [9])).toBe("End 2, rows 8 to 10, on the face, where the weave turns");
    expect(placeOf(float, [7, 11])).toBe("End 2, rows 8 to 10, on the face");
    expect(placeOf({ ...float, system: "weft", face: "back" }, [9])).toBe("Row 2, ends 8 to 10, on the back");
  });

  it("say how many more there are", () => {
    expect(whereOf(longest([float]), woven)).toMatch(/turns\.$/);
    expect(whereOf(longest([float, float]), woven)).toMatch(/1 more float as long\.$/);
    expect(whereOf(longest([float, float]), { ...woven, rows: 900 })).toMatch(/as long in the part drawn\.$/);
    expect(whereOf(longest([float], 3, true), woven)).toContain("and so throughout");
    expect(whereOf(longest([]), woven)).toBe("Not in the part that is drawn.");
    expect(whereOf(longest([], 1), woven)).toBe("Every thread crosses one at a time.");
  });

  it("name ends that nothing ties", () => {
    expect(untiedLine(woven)).toBe("");
    expect(untiedLine({ ...woven, untied: [3] })).toBe("No row ties end 3.");
    expect(untiedLine({ ...woven, untied: [3, 6] })).toBe("No row ties ends 3, 6.");
  });

  it("tell the picture to those who do not see it", () => {
    const told = pictureWords({ ...woven, longest: [longest([float]), { ...longest([], 2), system: "weft" }] });
    expect(told).toContain("4 ends by 18 rows");
    expect(told).toContain("turns after row 9");
    expect(told).toContain("warp 3 rows, weft 2 ends");
  });

  it("break a row only after a comma", () => {
    expect(keptTogether("over 1, (under 2, over 2) × 9").split(" ")).toEqual(["over\u00a01,", "(under\u00a02,", "over\u00a02)\u00a0×\u00a09"]);
  });
});

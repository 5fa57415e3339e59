import { describe, expect, it } from "vitest";
import type { Answer, Engine, Reply } from "../engine/engine";
import { isRefusal, partAround, weavePiece, type Piece } from "./piece";

const PIECE: Piece = { weave: "plain", ends: "2", rows: "3", turns: "2", side: "right", warp: "", weft: "" };

/** Answers for the library, with values of its kind. */
function engine(answers: Record<string, (args: Answer[]) => Reply>): Engine & { asked: [string, Answer[]][] } {
  const asked: [string, Answer[]][] = [];
  const ask = (name: string, args: Answer[]): Promise<Reply> => {
    asked.push([name, args]);
    return Promise.resolve(answers[name.replace("WEAVE.", "")]?.(args) ?? [null, ""]);
  };
  return {
    asked,
    ask,
    call: async (name, args) => (await ask(name, args))[0],
    why: async (name, args) => (await ask(name, args))[1],
    ready: Promise.resolve(),
    functions: Promise.resolve([]),
  };
}

const LIBRARY = {
  EDGECHECK: (): Reply => ["left: caught; right: caught", ""],
  COLOURKEY: (): Reply => [`${"1 warp".padEnd(30)}${"0 weft".padEnd(30)}`, ""],
  PICKCOLOURS: (): Reply => [[["10"], ["10"], ["01"]], ""],
  PICKTEXT: (): Reply => [[["one"], ["two"], ["three"]], ""],
  TURNROWS: (): Reply => [[[0], [0], [1], [1]], ""],
  UNCAUGHTENDS: (): Reply => ["none", ""],
  LONGESTEDGEFLOAT: (): Reply => [1, ""],
  LONGESTFLOAT: (args: Answer[]): Reply => [args[1] === "warp" && args.length > 2 ? 2 : 1, ""],
  FLOATSOVER: (): Reply => [[["warp", "face", 1, 1, 2, 2, ""]], ""],
};

describe("a piece", () => {
  it("is put together from what the library answers", async () => {
    const library = engine(LIBRARY);
    const woven = await weavePiece(library, PIECE, 1);
    if (isRefusal(woven)) throw new Error(woven.sentence);
    expect(woven.order.map((row) => [row.row, row.side, row.words, row.inLeg, row.turn])).toEqual([
      [1, "right", "one", 1, false],
      [2, "left", "two", 2, true],
      [3, "right", "three", 1, false],
    ]);
    expect(woven.turnRows).toEqual([2]);
    expect(woven.untied).toEqual([]);
    expect(woven.colours).toEqual([
      { letter: "1", words: "warp" },
      { letter: "0", words: "weft" },
    ]);
    expect(woven.longest[0]?.found).toEqual([{ system: "warp", face: "face", thread: 1, from: 1, to: 2, threads: 2 }]);
    expect(woven.longest[1]).toMatchObject({ threads: 1, found: [] });
  });

  it("hands a grid over as cells hold it, the last row first", async () => {
    const library = engine(LIBRARY);
    await weavePiece(library, PIECE, 1);
    const [, args] = library.asked.find(([name]) => name === "WEAVE.FLOATSOVER") ?? ["", []];
    expect(args[0]).toEqual([
      [0, 1],
      [1, 0],
      [1, 0],
    ]);
  });

  it("names the field of an argument that is refused", async () => {
    const says = (reason: string) => engine({ ...LIBRARY, EDGECHECK: (): Reply => [{ error: "#VALUE!" }, reason] });
    const field = async (reason: string) => weavePiece(says(reason), PIECE, 1);
    expect(await field("EDGECHECK: picks must be given; nothing was given")).toMatchObject({ field: "rows" });
    expect(await field("EDGECHECK: reversals must be rows; got 'x'")).toMatchObject({ field: "turns" });
    expect(await field("EDGECHECK: first side must be one of left, right")).toMatchObject({ field: "side" });
    expect(await field("something else")).toMatchObject({ field: null, sentence: "Something else" });
  });

  it("is drawn in parts that lie side by side", () => {
    expect(partAround(1, 900)).toEqual({ first: 1, last: 400 });
    expect(partAround(400, 900)).toEqual({ first: 1, last: 400 });
    expect(partAround(401, 900)).toEqual({ first: 401, last: 800 });
    expect(partAround(9999, 900)).toEqual({ first: 801, last: 900 });
    expect(partAround(0, 3)).toEqual({ first: 1, last: 3 });
  });

  it("asks for the turns of a long piece only near the part that is drawn", async () => {
    const library = engine(LIBRARY);
    await weavePiece(library, { ...PIECE, rows: "10000000" }, 9_999_990);
    const [, args] = library.asked.find(([name]) => name === "WEAVE.TURNROWS") ?? ["", []];
    expect((args[0] as number[][]).length).toBeLessThan(1000);
    expect((args[0] as number[][]).at(-1)).toEqual([10_000_001]);
  });

  it("has no more ends than the page can tell the words of", async () => {
    expect(await weavePiece(engine(LIBRARY), { ...PIECE, ends: "2001" }, 1)).toMatchObject({ field: "ends" });
  });

  it("counts a last row as no turn", async () => {
    const library = engine({ ...LIBRARY, TURNROWS: (): Reply => [[[0], [0], [0], [1]], ""] });
    expect(await weavePiece(library, PIECE, 99)).toMatchObject({ turnRows: [], first: 1 });
  });
});

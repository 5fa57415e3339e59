/** A piece of cloth: what is asked of the library about it, and what comes back. No weaving is worked out here. */
import { isError, type Answer, type Cell, type Engine } from "../engine/engine";
import { readReason } from "./reason";
import type { Given } from "./typed";

/** What was typed. */
export interface Piece {
  weave: string;
  ends: string;
  rows: string;
  turns: string;
  side: string;
  warp: string;
  weft: string;
}

export type Field = keyof Piece;

/** A field that cannot be woven, and why; no field where the sentence is about all. */
export interface Refusal {
  field: Field | null;
  sentence: string;
}

/** A float: its thread, and the threads it lies across, from the first to the last. */
export interface Float {
  system: "warp" | "weft";
  face: string;
  thread: number;
  from: number;
  to: number;
  threads: number;
}

/** The longest floats of warp or weft. */
export interface Longest {
  system: "warp" | "weft";
  threads: number;
  /** Whether the weave has them throughout, turned or not. */
  throughout: boolean;
  /** Those that lie in the part drawn; only the first where they lie throughout. */
  found: Float[];
}

export interface OrderRow {
  row: number;
  side: string;
  words: string;
  /** Rows since the last turn, this one counted; 0 where that lies too far back. */
  inLeg: number;
  turn: boolean;
}

export interface Colour {
  letter: string;
  words: string;
}

export interface Woven {
  ends: number;
  rows: number;
  /** First row drawn, and the signs of each row from there on: a capital or 1 where the warp is on top. */
  first: number;
  signs: string[];
  colours: Colour[];
  order: OrderRow[];
  /** Rows after which the weave turns, in the part drawn and the one before it. */
  turnRows: number[];
  longest: Longest[];
  edges: string;
  edgeFloat: number;
  untied: number[];
}

/** Most ends of a piece: the words of hundreds of rows are to come at once. The functions take more. */
export const MOST_ENDS = 2000;

/** Most that is drawn at once; a larger piece is shown in parts. */
export const MOST_DRAWN = 200;
export const MOST_ROWS = 400;

/** The size of the corner in which an example is looked for of floats that lie throughout. */
const CORNER = 40;

/** Width of an entry in the colour key, as COLOURKEY's documentation says. */
const KEY_WIDTH = 30;

/** Which field holds the argument that a reason names. */
const FIELDS: [string, Field][] = [
  ["weave", "weave"],
  ["cloth", "weave"],
  ["ends", "ends"],
  ["picks", "rows"],
  ["pick", "rows"],
  ["reversals", "turns"],
  ["first side", "side"],
  ["warp order", "warp"],
  ["weft order", "weft"],
];

export function isRefusal(result: Woven | Refusal): result is Refusal {
  return "sentence" in result;
}

/** The sign of a crossing says whether the warp is on top. */
export function warpOnTop(sign: string): boolean {
  return sign === "1" || (sign >= "A" && sign <= "Z");
}

function count(typed: string): Cell {
  const plain = typed.trim();
  if (plain === "") return null;
  return /^\d+$/.test(plain) ? Number(plain) : plain;
}

function column(answer: Answer): Cell[] {
  return Array.isArray(answer) ? answer.map((row) => row[0] ?? null) : [answer];
}

function refusal(said: string): Refusal {
  const reason = readReason(said, FIELDS.map(([words]) => words));
  return { field: FIELDS[reason.place]?.[1] ?? null, sentence: reason.sentence };
}

/** Ask everything about a piece, and draw the part of it that a row lies in. */
export async function weavePiece(engine: Engine, piece: Piece, around: number): Promise<Woven | Refusal> {
  const given: Given[] = [piece.weave, count(piece.ends), count(piece.rows), piece.turns];
  const [weave = null, endsGiven = null, rowsGiven = null, turns = null] = given;
  const orders: Given[] = [piece.warp.trim() || "none", piece.weft.trim() || "none"];

  const [[edges, wrongWeave], [key, wrongColour]] = await Promise.all([
    engine.ask("WEAVE.EDGECHECK", [...given, piece.side]),
    engine.ask("WEAVE.COLOURKEY", orders),
  ]);
  if (isError(edges)) return refusal(wrongWeave);
  if (isError(key)) return refusal(wrongColour);

  // What the library accepted as counts are whole numbers, in one notation or another.
  const ends = Math.round(Number(String(endsGiven).replace(",", ".")));
  const rows = Math.round(Number(String(rowsGiven).replace(",", ".")));
  if (ends > MOST_ENDS) return { field: "ends", sentence: `Ends must be at most ${MOST_ENDS} on this page; got ${ends}` };
  const { first, last } = partAround(around, rows);
  // Turns are looked for from one part earlier on: a leg under way began there.
  const from = Math.max(1, first - MOST_ROWS);
  const drawn = Math.min(ends, MOST_DRAWN);

  const asRows = (start: number, stop: number): number[][] =>
    Array.from({ length: stop - start + 1 }, (_, at) => [start + at]);
  const sides = asRows(first, last).map(([row = 0]) => [sideOf(row, piece.side)]);
  const part = asRows(first, last);
  const ask = (name: string, values: Given[]): Promise<Answer> => engine.call(`WEAVE.${name}`, values);
  const [[signs, wrongPick], words, turned, untied, edgeFloat, ...floats] = await Promise.all([
    engine.ask("WEAVE.PICKCOLOURS", [weave, drawn, part, turns, ...orders]),
    ask("PICKTEXT", [weave, ends, part, turns, sides]),
    ask("TURNROWS", [asRows(from, last + 1), turns]),
    ask("UNCAUGHTENDS", given),
    ask("LONGESTEDGEFLOAT", [...given, piece.side]),
    ask("LONGESTFLOAT", [weave, "warp", ends, rows, turns]),
    ask("LONGESTFLOAT", [weave, "weft", ends, rows, turns]),
    ask("LONGESTFLOAT", [weave, "warp"]),
    ask("LONGESTFLOAT", [weave, "weft"]),
  ]);
  if (isError(signs)) return refusal(wrongPick);

  const drawnSigns = column(signs).map(String);
  const turnRows = turnsFrom(column(turned).map(Number), from, rows);
  const systems = ["warp", "weft"] as const;
  const longest = await Promise.all(
    systems.map((system, at) =>
      locate(engine, system, Number(floats[at]), floats[at + 2] === floats[at], drawnSigns, first, drawn),
    ),
  );
  return {
    ends,
    rows,
    first,
    signs: drawnSigns,
    colours: readKey(String(key)),
    order: orderOf(column(words).map(String), first, piece.side, turnRows, from),
    turnRows,
    longest,
    edges: String(edges),
    edgeFloat: Number(edgeFloat),
    untied: column(untied).filter((end): end is number => typeof end === "number"),
  };
}

/** The rows that are drawn together with a row. */
export function partAround(row: number, rows: number): { first: number; last: number } {
  const before = Math.floor((Math.min(Math.max(1, row), rows) - 1) / MOST_ROWS) * MOST_ROWS;
  return { first: before + 1, last: Math.min(rows, before + MOST_ROWS) };
}

/** The weft comes back from the side it went to. */
export function sideOf(row: number, firstSide: string): string {
  const back = firstSide === "left" ? "right" : "left";
  return row % 2 === 1 ? firstSide : back;
}

/** Rows after which the count of turns goes up; the last row of a piece turns nothing. */
function turnsFrom(turns: number[], from: number, rows: number): number[] {
  const found: number[] = [];
  turns.forEach((before, at) => {
    const row = from + at;
    if (row < rows && (turns[at + 1] ?? before) > before) found.push(row);
  });
  return found;
}

function orderOf(words: string[], first: number, side: string, turnRows: number[], from: number): OrderRow[] {
  return words.map((text, at) => {
    const row = first + at;
    const lastTurn = Math.max(0, ...turnRows.filter((turn) => turn < row));
    const inLeg = lastTurn || from === 1 ? row - lastTurn : 0;
    return { row, side: sideOf(row, side), words: text, inLeg, turn: turnRows.includes(row) };
  });
}

function readKey(key: string): Colour[] {
  const entries = key.match(new RegExp(`.{1,${KEY_WIDTH}}`, "gu")) ?? [];
  return entries.map((entry) => ({ letter: entry.charAt(0), words: entry.slice(2).trim() }));
}

/** Find where the longest floats lie in the part that is drawn. */
async function locate(
  engine: Engine,
  system: "warp" | "weft",
  threads: number,
  throughout: boolean,
  signs: string[],
  first: number,
  ends: number,
): Promise<Longest> {
  const longest: Longest = { system, threads, throughout, found: [] };
  if (!(threads > 1)) return longest;
  const [wide, high] = throughout ? [Math.min(ends, CORNER), CORNER] : [ends, signs.length];
  // In cells a grid grows upward: its first row is the last pick.
  const grid = signs
    .slice(0, high)
    .reverse()
    .map((row) => [...row].slice(0, wide).map((sign): Cell => (warpOnTop(sign) ? 1 : 0)));
  const answer = await engine.call("WEAVE.FLOATSOVER", [grid, threads - 1]);
  if (!Array.isArray(answer)) return longest;
  const along = system === "warp" ? first - 1 : 0;
  const across = system === "weft" ? first - 1 : 0;
  const found = answer
    .filter((row) => row[0] === system)
    .map(([, face, thread, from, to, length]) => ({
      system,
      face: String(face),
      thread: Number(thread) + across,
      from: Number(from) + along,
      to: Number(to) + along,
      threads: Number(length),
    }));
  longest.found = throughout ? found.slice(0, 1) : found;
  return longest;
}

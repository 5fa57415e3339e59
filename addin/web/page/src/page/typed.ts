/** What was typed into a field, as what cells would hold. */
import type { ArgumentInfo, Cell } from "../engine/engine";

export type Given = Cell | Cell[][];

const NUMERAL = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;
/** A line of a grid. */
const SIGNS = /^\s*[01]([\s,;]*[01])*\s*$/;
const NUMBER_KINDS = ["number", "whole", "fraction"];

/** A number where a spreadsheet would see one; the library reads or refuses everything else. */
function cell(kind: string, text: string): Cell {
  const plain = text.trim();
  if (plain === "") return null;
  return NUMBER_KINDS.includes(kind) && NUMERAL.test(plain) ? Number(plain) : plain;
}

/** The kind of one item: "list of numbers" holds numbers. */
function itemKind(kind: string): string {
  return kind.replace(/^list of /, "").replace(/s$/, "");
}

function lines(text: string): string[] {
  return text.split(/\r?\n/).filter((line) => line.trim() !== "");
}

/** One item a line; in one line semicolons part them, for a comma may belong to a number. */
function readList(kind: string, text: string): Cell[][] {
  return text
    .split(/[\n;]/)
    .filter((item) => item.trim() !== "")
    .map((item) => [cell(itemKind(kind), item)]);
}

/** Rows of 1 and 0 as they stand, the bottom row last; signs may touch or be parted. */
function readGrid(text: string): Cell[][] {
  return lines(text).map((line) => {
    const plain = line.trim();
    const signs = /^[01]+$/.test(plain) ? [...plain] : plain.split(/[\s,;]+/).filter((sign) => sign !== "");
    return signs.map((sign) => cell("number", sign));
  });
}

/** A weave is a grid where it takes several lines; in one line it is a text that the library reads. */
function isGrid(text: string): boolean {
  return lines(text).length > 1 && lines(text).every((line) => SIGNS.test(line));
}

/** Read a field for an argument. Several numbers are a column, one call a row. */
export function read(argument: ArgumentInfo, typed: string): Given {
  if (typed.trim() === "") return null;
  if (argument.kind === "logical") return typed === "true" || (typed === "false" ? false : typed);
  if (argument.list) return readList(argument.kind, typed);
  if (argument.grid || (argument.kind === "weave" && isGrid(typed))) return readGrid(typed);
  if (NUMBER_KINDS.includes(argument.kind) && typed.includes(";")) return readList(argument.kind, typed);
  return cell(argument.kind, typed);
}

/** Write a value as it would be typed into the field of its argument. */
export function written(argument: ArgumentInfo, value: Given): string {
  if (value === null) return "";
  if (!Array.isArray(value)) return typeof value === "object" ? value.error : String(value);
  if (argument.list) return value.flat().map(String).join("\n");
  if (NUMBER_KINDS.includes(argument.kind)) return value.flat().map(String).join("; ");
  const parted = value.flat().some((sign) => String(sign).length !== 1);
  return value.map((row) => row.map(String).join(parted ? " " : "")).join("\n");
}

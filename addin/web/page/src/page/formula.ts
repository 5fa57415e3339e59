/** Formulas as a spreadsheet in English spells them: written from values, and an example read back. */
import type { Cell } from "../engine/engine";
import type { Given } from "./typed";

/** The longest text that a formula may hold in one pair of quotes. */
const LONGEST_TEXT = 255;

function quoted(text: string): string {
  const pieces = text.match(new RegExp(`[^]{1,${LONGEST_TEXT}}`, "g")) ?? [""];
  return pieces.map((piece) => `"${piece.replace(/"/g, '""')}"`).join("&");
}

function single(value: Cell): string {
  if (value === null) return "";
  if (typeof value === "object") return value.error;
  if (typeof value === "boolean") return value ? "TRUE" : "FALSE";
  return typeof value === "number" ? String(value).toUpperCase() : quoted(value);
}

function constant(value: Given): string {
  if (!Array.isArray(value)) return single(value);
  return `{${value.map((row) => row.map((item) => (item === null ? '""' : single(item))).join(",")).join(";")}}`;
}

/** The formula of a call, arguments left blank at its end left out. */
export function formulaOf(name: string, values: Given[]): string {
  const last = values.reduce((found: number, value, place) => (value === null ? found : place), -1);
  return `=${name}(${values.slice(0, last + 1).map(constant).join(",")})`;
}

const TOKEN = /\s*("(?:[^"]|"")*"|[{}(),;]|[^{}(),;"]+)/y;

function tokens(text: string): string[] {
  const found: string[] = [];
  TOKEN.lastIndex = 0;
  for (let next = TOKEN.exec(text); next; next = TOKEN.exec(text)) found.push((next[1] ?? "").trim());
  return found.filter((token) => token !== "");
}

function valueOf(token: string): Cell {
  if (token.startsWith('"')) return token.slice(1, -1).replace(/""/g, '"');
  if (token === "TRUE" || token === "FALSE") return token === "TRUE";
  return Number(token);
}

/** Read the arguments of a formula that calls one function with constants, such as an example. */
export function argumentsOf(formula: string): Given[] {
  const [, ...rest] = tokens(formula.slice(formula.indexOf("(")));
  const values: Given[] = [];
  let value: Given = null;
  let rows: Cell[][] | null = null;
  for (const token of rest) {
    if (token === "{") rows = [[]];
    else if (token === "}") [value, rows] = [rows, null];
    else if (rows && token === ";") rows.push([]);
    else if (rows && token === ",") continue;
    else if (rows) rows.at(-1)?.push(valueOf(token));
    else if (token === "," || token === ")") [value] = [null, values.push(value)];
    else value = valueOf(token);
  }
  return values;
}

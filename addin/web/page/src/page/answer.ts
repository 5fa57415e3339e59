/** An answer as cells show it: one value, or a table. */
import type { Answer, Cell } from "../engine/engine";
import { make } from "./dom";

/** Most rows of a table that are written out; a sheet takes them all. */
const MOST_ROWS = 300;

/** Digits that a cell of usual width shows; more would only be dust. */
const DIGITS = 10;

/** A cell as text. */
export function cellText(cell: Cell): string {
  if (cell === null) return "";
  if (typeof cell === "object") return cell.error;
  if (typeof cell === "boolean") return cell ? "TRUE" : "FALSE";
  return typeof cell === "number" ? String(Number(cell.toPrecision(DIGITS))) : cell;
}

/** Write an answer into an element. */
export function showAnswer(element: HTMLElement, answer: Answer): void {
  if (!Array.isArray(answer)) {
    const text = cellText(answer);
    element.replaceChildren(make("p", { class: text.length > 24 ? "value long" : "value" }, text === "" ? "(empty text)" : text));
    return;
  }
  const rows = answer
    .slice(0, MOST_ROWS)
    .map((row) => make("tr", {}, ...row.map((cell) => make("td", numeric(cell), cellText(cell)))));
  const scroll = make("div", { class: "table", role: "region", "aria-label": "Table of the answer", tabindex: "0" });
  scroll.append(make("table", {}, make("tbody", {}, ...rows)));
  const more = answer.length > MOST_ROWS ? [make("p", { class: "hint" }, `The first ${MOST_ROWS} of ${answer.length} rows.`)] : [];
  element.replaceChildren(scroll, ...more);
}

function numeric(cell: Cell): Record<string, string> {
  return typeof cell === "number" ? { class: "number" } : {};
}

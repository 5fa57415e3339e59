/** An answer as cells show it: one value, or a table. */
import type { Answer, Cell } from "../engine/engine";
import { make } from "./dom";
import { counted } from "./words";

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

/** Write an answer into an element that a screen reader listens to; of a table it is told the size alone. */
export function showAnswer(element: HTMLElement, answer: Answer): void {
  element.setAttribute("aria-live", Array.isArray(answer) ? "off" : "polite");
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
  element.replaceChildren(scroll);
}

/** How large a table is; empty for a single value. */
export function sizeOf(answer: Answer): string {
  if (!Array.isArray(answer)) return "";
  const size = `${counted(answer.length, "row")} by ${counted(answer[0]?.length ?? 0, "column")}`;
  return answer.length > MOST_ROWS ? `${size}, the first ${MOST_ROWS} rows shown.` : `${size}.`;
}

function numeric(cell: Cell): Record<string, string> {
  return typeof cell === "number" ? { class: "number" } : {};
}

/** The weaving order as a table. */
import { byId, make } from "./dom";
import type { OrderRow, Woven } from "./piece";
import { keptTogether } from "./words";

const ROWS_ABOVE = 3;

/** Write the order; a row that is chosen goes to the loom. */
export function showOrder(woven: Woven, choose: (row: number) => void): void {
  const body = byId("order-rows");
  body.replaceChildren(...woven.order.flatMap((row) => lines(row)));
  body.onclick = (event) => {
    const line = (event.target as Element).closest<HTMLElement>("tr[data-row]");
    if (line) choose(Number(line.dataset["row"]));
  };
}

function lines(row: OrderRow): HTMLTableRowElement[] {
  const line = make(
    "tr",
    { "data-row": String(row.row) },
    make("th", { scope: "row" }, String(row.row)),
    make("td", {}, row.side),
    make("td", {}, keptTogether(row.words)),
  );
  if (!row.turn) return [line];
  return [line, make("tr", { class: "turn" }, make("td", { colspan: "3" }, `Turn after row ${row.row}`))];
}

/** Show which row is under way. */
export function showCurrent(row: number | null): void {
  const before = document.querySelector("#order-rows tr[aria-current]");
  before?.removeAttribute("aria-current");
  if (row === null) return;
  const line = document.querySelector<HTMLElement>(`#order-rows tr[data-row="${row}"]`);
  line?.setAttribute("aria-current", "step");
  if (!line) return;
  // A few rows before it stay in sight, below the headings.
  let above: Element = line;
  for (let rows = 0; rows < ROWS_ABOVE && above.previousElementSibling; rows++) above = above.previousElementSibling;
  const headings = byId("order").querySelector("thead")?.offsetHeight ?? 0;
  byId("order-scroll").scrollTop = (above as HTMLElement).offsetTop - headings;
}

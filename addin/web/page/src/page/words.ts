/** Sentences below the cloth. */
import type { Float, Longest, Woven } from "./piece";

const CROSSED = { warp: "row", weft: "end" } as const;
const ALONG = { warp: "End", weft: "Row" } as const;

/** A count with its noun. */
export function counted(count: number, noun: string): string {
  return `${count.toLocaleString("en-GB")} ${noun}${count === 1 ? "" : "s"}`;
}

/** Whether a float lies across a row where the weave turns. */
export function acrossTurn(float: Float, turnRows: number[]): boolean {
  return float.system === "warp" && turnRows.some((row) => float.from <= row && row <= float.to);
}

/** Where a float lies, such as "End 2, rows 8 to 10, on the face, where the weave turns". */
export function placeOf(float: Float, turnRows: number[]): string {
  const noun = CROSSED[float.system];
  const turn = acrossTurn(float, turnRows) ? ", where the weave turns" : "";
  return `${ALONG[float.system]} ${float.thread}, ${noun}s ${float.from} to ${float.to}, on the ${float.face}${turn}`;
}

/** Whether the whole piece is drawn. */
export function isWhole(woven: Woven): boolean {
  return woven.signs.length === woven.rows && woven.signs[0]?.length === woven.ends;
}

/** How long the longest float of a system is, such as "3 rows". */
export function lengthOf(longest: Longest): string {
  return counted(longest.threads, CROSSED[longest.system]);
}

/** Where the longest floats of a system lie. */
export function whereOf(longest: Longest, woven: Woven): string {
  const [first, ...others] = longest.found;
  if (longest.threads <= 1) return "Every thread crosses one at a time.";
  if (!first) return "Not in the part that is drawn.";
  const place = placeOf(first, woven.turnRows);
  if (longest.throughout) return `${place}, and so throughout: the weave itself floats so far.`;
  const part = isWhole(woven) ? "" : " in the part drawn";
  return others.length ? `${place}; ${counted(others.length, "more float")} as long${part}.` : `${place}.`;
}

/** One sentence about edges, from the library's own words. */
export function edgeLines(woven: Woven): string[] {
  const lines = woven.edges.split("; ").map((line) => line.charAt(0).toUpperCase() + line.slice(1));
  return [...lines, `Longest weft float at and round the edges: ${counted(woven.edgeFloat, "end")}.`];
}

/** The ends that nothing ties, or nothing. */
export function untiedLine(woven: Woven): string {
  if (!woven.untied.length) return "";
  const shown = woven.untied.slice(0, 12).join(", ");
  const more = woven.untied.length > 12 ? ", …" : "";
  return `No row ties ${woven.untied.length === 1 ? "end" : "ends"} ${shown}${more}.`;
}

/** What the picture shows, for those who do not see it. */
export function pictureWords(woven: Woven): string {
  const [warp, weft] = woven.longest;
  const floats = warp && weft ? ` Longest floats: warp ${lengthOf(warp)}, weft ${lengthOf(weft)}.` : "";
  const turns = woven.turnRows.length ? ` The weave turns after row ${listed(woven.turnRows)}.` : "";
  return `The cloth from its face: ${counted(woven.ends, "end")} by ${counted(woven.rows, "row")}.${turns}${floats}`;
}

function listed(rows: number[]): string {
  return rows.length > 8 ? `${rows.slice(0, 8).join(", ")} and so on` : rows.join(", ");
}

/** The words of a row, broken into lines only where a comma stands: "under 2" and "× 10" stay whole. */
export function keptTogether(words: string): string {
  return words.replace(/(?<!,) /g, "\u00a0");
}

/** The part about the cloth: the form, the picture, the words below it, the order beside it. */
import type { Engine } from "../engine/engine";
import { byId, make, say, showProblem, whenQuiet } from "./dom";
import { ask } from "./asking";
import { besideWorkbook, fillCells } from "./excel";
import { Loom } from "./loom";
import type { Memory } from "./memory";
import { showOrder } from "./order";
import { isRefusal, weavePiece, type Field, type Piece, type Refusal, type Woven } from "./piece";
import type { SharedWords } from "./shared_words";
import { frameFor, Weaver, type Tone } from "./weaver";
import { counted, edgeLines, isWhole, lengthOf, pictureWords, untiedLine, whereOf } from "./words";

/** A chevron twill that turns after nine rows: the picture that a first visit sees. */
const FIRST_PIECE: Piece = {
  weave: "2/2 twill",
  ends: "40",
  rows: "45",
  turns: "9",
  side: "left",
  warp: "",
  weft: "",
};

const FIELDS: Field[] = ["weave", "ends", "rows", "turns", "side", "warp", "weft"];

/** The two tones where no colours are given. */
const PLAIN = { warp: "#efe3c8", weft: "#31506b" };

/** How long the whole cloth takes to grow, and the most that one row takes, in milliseconds. */
const GROWING = 1600;
const SLOWEST_ROW = 45;

export interface ClothPart {
  /** Draw again where the room has changed. */
  fit(): void;
}

export function showCloth(engine: Engine, memory: Memory, words: Promise<SharedWords>): ClothPart {
  const form = byId<HTMLFormElement>("piece");
  const scroll = byId("cloth-scroll");
  const canvas = byId<HTMLCanvasElement>("cloth-canvas");
  let tones: string[] = [];
  let woven: Woven | null = null;
  let weaver: Weaver | null = null;
  let asked = 0;
  let growing = 0;

  const kept = memory.get("piece", FIRST_PIECE);
  fill(form, kept);
  byId<HTMLDetailsElement>("colours").open = Boolean(kept.warp || kept.weft);
  const loom = new Loom(memory, (row) => {
    window.cancelAnimationFrame(growing);
    if (woven && (row < woven.first || row >= woven.first + woven.signs.length)) void weave(row);
    else drawUpTo();
  });

  async function weave(around: number): Promise<void> {
    const piece = typed(form);
    memory.keep("piece", piece);
    const mine = ++asked;
    const result = await weavePiece(engine, piece, around).catch(
      (problem: Error): Refusal => ({ field: null, sentence: problem.message }),
    );
    // Somebody typed on meanwhile: only the last answer counts.
    if (mine !== asked) return;
    busy(false);
    showRefusal(isRefusal(result) ? result : null);
    byId("part-cloth").classList.toggle("stale", isRefusal(result));
    byId("stale").hidden = !(isRefusal(result) && woven);
    if (isRefusal(result)) return;
    woven = result;
    byId("waiting").hidden = true;
    canvas.hidden = false;
    tell(result, tones);
    showOrder(result, (row) => loom.goTo(row));
    loom.show(result, pieceName(piece));
    prepare();
    if (loom.begun) drawUpTo();
    else grow();
  }

  function prepare(): void {
    if (!woven) return;
    const look = getComputedStyle(document.body);
    const paper = { ink: look.getPropertyValue("--ink").trim(), quiet: look.getPropertyValue("--quiet").trim() };
    const frame = frameFor(woven.signs[0]?.length ?? 1, woven.signs.length, scroll.clientWidth);
    weaver = new Weaver(canvas, woven, frame, toneOf(tones), paper);
    canvas.setAttribute("aria-label", pictureWords(woven));
  }

  function drawUpTo(): void {
    if (!weaver || !woven) return;
    if (!loom.begun) return drawWhole();
    const at = loom.row - woven.first;
    weaver.draw(at + 1);
    weaver.drawCurrent(at, loom.side);
    follow(scroll, weaver.top(at));
    mark(loom.row);
  }

  function drawWhole(): void {
    weaver?.draw(weaver.rows);
    mark(Infinity);
  }

  /** Ring the longest floats as far as they are woven. */
  function mark(upTo: number): void {
    if (!weaver || !woven) return;
    const floats = woven.longest.flatMap((longest) => longest.found);
    weaver.drawMarks(floats.filter((float) => (float.system === "warp" ? float.to : float.thread) <= upTo));
  }

  /** Let the cloth grow from the bottom, unless motion is not wanted. */
  function grow(): void {
    window.cancelAnimationFrame(growing);
    if (!weaver) return;
    if (window.matchMedia("(prefers-reduced-motion: reduce)").matches) return drawUpTo();
    const drawn = weaver;
    const row = Math.min(SLOWEST_ROW, GROWING / drawn.rows);
    let done = 0;
    let start = 0;
    drawn.draw(0);
    scroll.scrollTop = scroll.scrollHeight;
    const step = (now: number): void => {
      start ||= now;
      const wanted = Math.min(drawn.rows, Math.floor((now - start) / row) + 1);
      while (done < wanted) drawn.drawRow(done++);
      follow(scroll, drawn.top(done - 1));
      if (done < drawn.rows) growing = window.requestAnimationFrame(step);
      else drawUpTo();
    };
    growing = window.requestAnimationFrame(step);
  }

  const redraw = (): void => {
    window.cancelAnimationFrame(growing);
    prepare();
    drawUpTo();
  };
  const weaveSoon = whenQuiet(250, () => void weave(1));
  form.addEventListener("input", () => {
    busy(true);
    // What is still to be answered is about another piece.
    asked++;
    loom.leave();
    weaveSoon();
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  let width = scroll.clientWidth;
  new ResizeObserver(() => {
    if (scroll.clientWidth === width || scroll.clientWidth === 0) return;
    width = scroll.clientWidth;
    redraw();
  }).observe(scroll);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", redraw);
  // On paper stands the plan, whatever is woven of it.
  window.addEventListener("beforeprint", drawWhole);
  window.addEventListener("afterprint", drawUpTo);
  void words
    .then((known) => {
      tones = known.tones;
      byId("weaves").append(...known.weaves.map(([weave, what]) => make("option", { value: weave }, what)));
      if (woven) tell(woven, tones);
      redraw();
    })
    // Without the list a weave can still be typed.
    .catch(() => undefined);
  drawInSheet(() => woven, () => toneOf(tones));
  void weave(loom.row);
  return { fit: redraw };
}

/** Tell screen readers whether what is shown is about to change. */
function busy(whether: boolean): void {
  byId("cloth-shown").setAttribute("aria-busy", String(whether));
}

function pieceName(piece: Piece): string {
  return [piece.weave, piece.ends, piece.rows, piece.turns, piece.side].join("|");
}

function fill(form: HTMLFormElement, piece: Piece): void {
  for (const field of FIELDS) {
    const control = form.elements.namedItem(field);
    if (control instanceof HTMLInputElement || control instanceof RadioNodeList) control.value = piece[field];
  }
}

function typed(form: HTMLFormElement): Piece {
  const data = new FormData(form);
  const value = (field: Field): string => String(data.get(field) ?? "");
  const [weave, ends, rows, turns, side, warp, weft] = FIELDS.map(value) as [string, string, string, string, string, string, string];
  return { weave, ends, rows, turns, side, warp, weft };
}

function showRefusal(refusal: Refusal | null): void {
  for (const field of FIELDS) {
    const control = byId("piece").querySelector<HTMLElement>(`[name="${field}"]`);
    if (control) showProblem(control, byId(`${field}-problem`), refusal?.field === field ? refusal.sentence : "");
  }
  const general = byId("piece-problem");
  say(general, refusal && !refusal.field ? refusal.sentence : "");
  general.hidden = general.textContent === "";
}

/** The colour that a sign stands for. */
function toneOf(tones: string[]): Tone {
  return (sign) => {
    if (sign === "1") return PLAIN.warp;
    if (sign === "0") return PLAIN.weft;
    return tones[sign.toUpperCase().charCodeAt(0) - "A".charCodeAt(0)] ?? PLAIN.warp;
  };
}

function tell(woven: Woven, tones: string[]): void {
  byId("told").hidden = false;
  byId("floats").replaceChildren(
    ...woven.longest.flatMap((longest) => [
      make("dt", {}, `Longest ${longest.system} float: `, make("strong", {}, lengthOf(longest))),
      make("dd", {}, whereOf(longest, woven)),
    ]),
  );
  const lines = [...edgeLines(woven), untiedLine(woven)].filter(Boolean);
  byId("edges").replaceChildren(...lines.map((line) => make("li", {}, line)));
  tellPart(woven);
  tellColours(woven, toneOf(tones));
}

function tellPart(woven: Woven): void {
  const part = byId("cloth-part");
  const ends = woven.signs[0]?.length ?? 0;
  const last = woven.first + woven.signs.length - 1;
  part.hidden = isWhole(woven);
  say(
    part,
    `Drawn are ends 1 to ${ends} of ${counted(woven.ends, "end")}, rows ${woven.first} to ${last} of ` +
      `${counted(woven.rows, "row")}. Go to another row to see the rest. The lengths of floats below are those of the whole piece.`,
  );
}

function tellColours(woven: Woven, tone: Tone): void {
  const key = byId("cloth-key");
  key.hidden = false;
  key.replaceChildren(
    ...woven.colours.map((colour) => {
      const swatch = make("span", { class: "swatch", "aria-hidden": "true" });
      swatch.style.setProperty("--tone", tone(colour.letter));
      return make("li", {}, swatch, colour.words);
    }),
  );
}

/** Keep a row of the picture in sight. */
function follow(scroll: HTMLElement, top: number): void {
  const [above, below] = [scroll.scrollTop, scroll.scrollTop + scroll.clientHeight];
  if (top < above + 30 || top > below - 60) scroll.scrollTop = top - scroll.clientHeight / 2;
}

function drawInSheet(woven: () => Woven | null, tone: () => Tone): void {
  byId("cloth-to-sheet").hidden = !besideWorkbook();
  const told = byId("drawn-in-sheet");
  byId("draw-in-sheet").addEventListener("click", () => {
    const piece = woven();
    if (!piece) return;
    const colours = [...piece.signs].reverse().map((row) => [...row].map(tone()));
    fillCells(colours, ask).then(
      (address) => say(told, address ? `Drawn into ${address}.` : "Nothing was changed."),
      (problem: Error) => say(told, `Excel did not take it: ${problem.message}`),
    );
  });
}

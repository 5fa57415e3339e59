/** Draws cloth on a canvas, row by row, as it would lie on the loom: bare warp above what is woven. */
import { warpOnTop, type Float, type Woven } from "./piece";

/** Where neither thread covers. */
const GROUND = "#37322d";
/** The rim of a bare warp thread. */
const BARE_EDGE = "#a89d88";
const INK = "#20242b";
const PAPER = "#fffdf7";

/** Half the width of a thread, as a share of the spacing. */
const HALF = 0.44;
/** Room at the sides for numbers and arrows, in pixels. */
export const MARGIN = { left: 44, right: 22, top: 10, bottom: 24 };
const FONT = "11px ui-sans-serif, system-ui, sans-serif";

/** Threads closer than this are drawn without their numbers in floats. */
const ROOM_FOR_NUMBER = 11;

/** The colour of a sign: "1" and "0" where there are no colour orders, else a letter of the key. */
export type Tone = (sign: string) => string;

/** What the paper around the cloth looks like. */
export interface Paper {
  ink: string;
  quiet: string;
}

/** Where things stand, for one size of the canvas. */
export interface Frame {
  thread: number;
  width: number;
  height: number;
}

/** The frame that fits a width; threads stay between a least and a most width. */
export function frameFor(ends: number, rows: number, width: number): Frame {
  const room = width - MARGIN.left - MARGIN.right;
  const thread = Math.max(3, Math.min(18, Math.floor((2 * room) / ends) / 2));
  return {
    thread,
    width: Math.ceil(thread * ends) + MARGIN.left + MARGIN.right,
    height: Math.ceil(thread * rows) + MARGIN.top + MARGIN.bottom,
  };
}

export class Weaver {
  private readonly pen: CanvasRenderingContext2D;
  private readonly tiles = new Map<string, HTMLCanvasElement>();
  private readonly columns: string[];
  private readonly scale = Math.min(3, window.devicePixelRatio || 1);

  constructor(
    canvas: HTMLCanvasElement,
    private readonly woven: Woven,
    private readonly frame: Frame,
    private readonly tone: Tone,
    private readonly paper: Paper,
  ) {
    const pen = canvas.getContext("2d");
    if (!pen) throw new Error("this browser cannot draw on a canvas");
    this.pen = pen;
    this.columns = this.bareColours();
    canvas.width = Math.round(frame.width * this.scale);
    canvas.height = Math.round(frame.height * this.scale);
    canvas.style.setProperty("width", `${frame.width}px`);
    canvas.style.setProperty("height", `${frame.height}px`);
    pen.setTransform(this.scale, 0, 0, this.scale, 0, 0);
  }

  get rows(): number {
    return this.woven.signs.length;
  }

  /** Draw everything with so many rows woven, of those in the picture. */
  draw(upTo: number): void {
    this.pen.clearRect(0, 0, this.frame.width, this.frame.height);
    this.drawRulers();
    for (let at = 0; at < this.rows; at++) {
      if (at < upTo) this.drawRow(at);
      else this.drawBare(at);
    }
  }

  /** Top edge of a row, counted from 0 at the bottom. */
  top(at: number): number {
    return MARGIN.top + (this.rows - 1 - at) * this.frame.thread;
  }

  private left(end: number): number {
    return MARGIN.left + end * this.frame.thread;
  }

  drawRow(at: number): void {
    const { thread } = this.frame;
    const [signs, above, below] = [at, at + 1, at - 1].map((row) => this.woven.signs[row] ?? "");
    if (signs === undefined) return;
    for (let end = 0; end < signs.length; end++) {
      const sign = signs.charAt(end);
      const up = warpOnTop(sign);
      const [before, after] = up
        ? [above?.charAt(end) ?? "", below?.charAt(end) ?? ""]
        : [signs.charAt(end - 1), signs.charAt(end + 1)];
      // A float goes on under the next thread where its neighbour lies on the same side.
      const goesOn = (next: string): boolean => next !== "" && warpOnTop(next) === up;
      const tile = this.tile(sign, goesOn(before), goesOn(after));
      this.pen.drawImage(tile, this.left(end), this.top(at), thread, thread);
    }
  }

  private drawBare(at: number): void {
    const { thread } = this.frame;
    this.columns.forEach((colour, end) => {
      this.pen.fillStyle = BARE_EDGE;
      this.pen.fillRect(this.left(end) + thread * 0.3, this.top(at), thread * 0.4, thread);
      this.pen.fillStyle = colour;
      this.pen.fillRect(this.left(end) + thread * 0.4, this.top(at), thread * 0.2, thread);
    });
  }

  /** The colour of each end, from any row on which it shows. */
  private bareColours(): string[] {
    const colours = [...(this.woven.signs[0] ?? "")].map(() => this.tone("1"));
    for (const row of [...this.woven.signs].reverse()) {
      [...row].forEach((sign, end) => {
        if (warpOnTop(sign)) colours[end] = this.tone(sign);
      });
    }
    return colours;
  }

  /** One crossing, drawn once for each colour and each way that its ends look. */
  private tile(sign: string, before: boolean, after: boolean): HTMLCanvasElement {
    const name = `${sign}${before}${after}`;
    const known = this.tiles.get(name);
    if (known) return known;
    const size = Math.max(2, Math.ceil(this.frame.thread * this.scale));
    const tile = document.createElement("canvas");
    tile.width = tile.height = size;
    const pen = tile.getContext("2d");
    if (pen) {
      pen.fillStyle = GROUND;
      pen.fillRect(0, 0, size, size);
      // Drawn upright; the weft is the same, turned over.
      if (!warpOnTop(sign)) pen.transform(0, 1, 1, 0, 0, 0);
      band(pen, size, this.tone(sign), before, after);
    }
    this.tiles.set(name, tile);
    return tile;
  }

  private drawRulers(): void {
    const { pen, woven } = this;
    pen.font = FONT;
    pen.textBaseline = "middle";
    const step = stepFor(this.frame.thread);
    woven.signs.forEach((_, at) => {
      const row = woven.first + at;
      const turn = woven.turnRows.includes(row);
      const middle = this.top(at) + this.frame.thread / 2;
      if (row === woven.first || row % step === 0) {
        pen.fillStyle = this.paper.quiet;
        pen.textAlign = "right";
        pen.fillText(String(row), MARGIN.left - 14, middle);
      }
      if (turn) this.drawTurn(at);
    });
    const ends = woven.signs[0]?.length ?? 0;
    pen.fillStyle = this.paper.quiet;
    pen.textAlign = "center";
    for (let end = 1; end <= ends; end++) {
      if (end !== 1 && end % step !== 0) continue;
      pen.fillText(String(end), this.left(end - 0.5), this.top(0) + this.frame.thread + 12);
    }
  }

  /** A notch at both edges where the weave turns. */
  private drawTurn(at: number): void {
    const { pen } = this;
    const y = this.top(at);
    const right = this.left(this.woven.signs[0]?.length ?? 0);
    pen.strokeStyle = this.paper.ink;
    pen.lineWidth = 2;
    pen.beginPath();
    pen.moveTo(MARGIN.left - 11, y);
    pen.lineTo(MARGIN.left - 2, y);
    pen.moveTo(right + 2, y);
    pen.lineTo(right + 11, y);
    pen.stroke();
  }

  /** Ring the floats: a light line outside a dark one, so that they show on any colour. */
  drawMarks(floats: Float[]): void {
    const { pen } = this;
    const { thread } = this.frame;
    for (const float of floats) {
      const [x, y, width, height] = this.place(float);
      for (const [line, colour] of [
        [Math.max(3.5, thread * 0.32), PAPER],
        [Math.max(1.5, thread * 0.14), INK],
      ] as const) {
        pen.strokeStyle = colour;
        pen.lineWidth = line;
        pen.beginPath();
        pen.roundRect(x, y, width, height, thread * 0.4);
        pen.stroke();
      }
      if (thread >= ROOM_FOR_NUMBER) this.drawNumber(float.threads, x + width / 2, y + height / 2);
    }
  }

  private place(float: Float): [number, number, number, number] {
    const { thread } = this.frame;
    const { first } = this.woven;
    const length = float.to - float.from + 1;
    if (float.system === "warp") {
      return [this.left(float.thread - 1), this.top(float.to - first), thread, thread * length];
    }
    return [this.left(float.from - 1), this.top(float.thread - first), thread * length, thread];
  }

  private drawNumber(threads: number, x: number, y: number): void {
    const { pen } = this;
    const radius = this.frame.thread * 0.46;
    pen.fillStyle = PAPER;
    pen.beginPath();
    pen.arc(x, y, radius, 0, 7);
    pen.fill();
    pen.fillStyle = INK;
    pen.font = `bold ${Math.round(this.frame.thread * 0.75)}px ui-sans-serif, system-ui, sans-serif`;
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    pen.fillText(String(threads), x, y + 0.5);
  }

  /** Frame the row under way, with an arrow at the side where the weft enters. */
  drawCurrent(at: number, side: string): void {
    const { pen } = this;
    const { thread } = this.frame;
    const right = this.left(this.woven.signs[0]?.length ?? 0);
    for (const [line, colour] of [
      [4, PAPER],
      [2, INK],
    ] as const) {
      pen.strokeStyle = colour;
      pen.lineWidth = line;
      pen.strokeRect(MARGIN.left - 1, this.top(at), right - MARGIN.left + 2, thread);
    }
    const middle = this.top(at) + thread / 2;
    const [tip, tail] = side === "left" ? [MARGIN.left - 3, MARGIN.left - 12] : [right + 3, right + 12];
    pen.fillStyle = this.paper.ink;
    pen.beginPath();
    pen.moveTo(tip, middle);
    pen.lineTo(tail, middle - 6);
    pen.lineTo(tail, middle + 6);
    pen.fill();
  }
}

function band(pen: CanvasRenderingContext2D, size: number, colour: string, before: boolean, after: boolean): void {
  const inset = size * (0.5 - HALF);
  const start = before ? -size * 0.2 : size * 0.05;
  const stop = after ? size * 1.2 : size * 0.95;
  pen.fillStyle = colour;
  pen.beginPath();
  pen.roundRect(inset, start, 2 * HALF * size, stop - start, size * 0.28);
  pen.save();
  pen.clip();
  pen.fillRect(0, 0, size, size);
  // Light from the left: the thread is round. A glance of light shows on dark yarn, shade on pale yarn.
  const round = pen.createLinearGradient(inset, 0, size - inset, 0);
  round.addColorStop(0, "rgb(0 0 0 / 0.34)");
  round.addColorStop(0.3, "rgb(255 255 255 / 0.22)");
  round.addColorStop(0.55, "rgb(255 255 255 / 0)");
  round.addColorStop(1, "rgb(0 0 0 / 0.38)");
  pen.fillStyle = round;
  pen.fillRect(0, 0, size, size);
  for (const [shown, from, to] of [
    [!before, 0, 0.3],
    [!after, 1, 0.7],
  ] as const) {
    if (!shown) continue;
    const dive = pen.createLinearGradient(0, from * size, 0, to * size);
    dive.addColorStop(0, "rgb(0 0 0 / 0.4)");
    dive.addColorStop(1, "rgb(0 0 0 / 0)");
    pen.fillStyle = dive;
    pen.fillRect(0, 0, size, size);
  }
  pen.restore();
}

/** Which threads get their number. */
function stepFor(thread: number): number {
  return thread >= 14 ? 5 : thread >= 7 ? 10 : 20;
}

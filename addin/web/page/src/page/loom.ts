/** Row by row at the loom: the row under way in large words, next and back, the place remembered. */
import { byId, say } from "./dom";
import { keepAwake } from "./awake";
import type { Memory } from "./memory";
import { showCurrent } from "./order";
import type { OrderRow, Woven } from "./piece";
import { keptTogether } from "./words";

const FORTH = ["ArrowUp", "ArrowRight"];
const BACK = ["ArrowDown", "ArrowLeft"];

export class Loom {
  /** The row under way; 0 before the first. */
  private at = 0;
  private piece = "";
  private woven: Woven | null = null;

  constructor(
    private readonly memory: Memory,
    private readonly moved: (row: number) => void,
  ) {
    const kept = memory.get("place", { piece: "", row: 0 });
    [this.piece, this.at] = [kept.piece, kept.row];
    byId("loom-next").addEventListener("click", () => this.goTo(this.at + 1));
    byId("loom-back").addEventListener("click", () => this.goTo(this.at - 1));
    byId("loom-large").addEventListener("click", () => this.enlarge());
    byId<HTMLInputElement>("loom-goto").addEventListener("change", (event) => {
      const field = event.currentTarget as HTMLInputElement;
      if (/^\s*\d+\s*$/.test(field.value)) this.goTo(Number(field.value));
      field.value = "";
    });
    byId("loom").addEventListener("keydown", (event) => {
      if (event.target instanceof HTMLInputElement || event.altKey || event.ctrlKey || event.metaKey) return;
      const step = FORTH.includes(event.key) ? 1 : BACK.includes(event.key) ? -1 : 0;
      if (event.key === "Escape" && document.body.classList.contains("large")) this.enlarge();
      if (!step) return;
      event.preventDefault();
      this.goTo(this.at + step);
    });
  }

  get begun(): boolean {
    return this.at > 0;
  }

  get row(): number {
    return Math.max(1, this.at);
  }

  /** The side at which the weft enters on the row under way. */
  get side(): string {
    return this.line?.side ?? "left";
  }

  /** Forget the place: another piece is planned. */
  leave(): void {
    this.at = 0;
  }

  /** Show a piece; the place in it is kept where it is the piece that was woven before. */
  show(woven: Woven, piece: string): void {
    this.woven = woven;
    if (piece !== this.piece) this.at = 0;
    this.piece = piece;
    this.at = Math.min(this.at, woven.rows);
    this.tell();
  }

  goTo(row: number): void {
    if (!this.woven) return;
    this.at = Math.min(Math.max(0, row), this.woven.rows);
    this.memory.keep("place", { piece: this.piece, row: this.at });
    this.tell();
    this.moved(this.row);
  }

  private get line(): OrderRow | undefined {
    return this.woven?.order.find((row) => row.row === this.at);
  }

  private tell(): void {
    const { woven, line } = this;
    if (!woven) return;
    const last = this.at === woven.rows;
    byId("loom").classList.toggle("turning", line?.turn ?? false);
    if (this.at === 0) {
      say(byId("loom-row"), `${woven.rows} rows`);
      say(byId("loom-words"), "Begin with row 1.");
      say(byId("loom-turn"), "");
    } else if (line) {
      say(byId("loom-row"), `Row ${line.row} of ${woven.rows}, from the ${line.side}`);
      say(byId("loom-words"), keptTogether(line.words));
      say(byId("loom-turn"), line.turn ? "Turn after this row." : last ? "The last row." : sinceTurn(line));
    }
    say(byId("loom-next"), this.at === 0 ? "Begin" : "Next row");
    this.able("loom-next", !last);
    this.able("loom-back", this.at > 0);
    const told = ["loom-row", "loom-words", "loom-turn"].map((id) => byId(id).textContent).join(". ");
    say(byId("loom-told"), this.at ? told : "");
    showCurrent(this.at || null);
  }

  /** A button at its end stays where it is, so that the focus is not lost. */
  private able(id: string, possible: boolean): void {
    byId(id).setAttribute("aria-disabled", String(!possible));
  }

  private enlarge(): void {
    const large = document.body.classList.toggle("large");
    say(byId("loom-large"), large ? "Back to the plan" : "Large, for the loom");
    void keepAwake(large);
    byId("loom").scrollIntoView({ block: "nearest" });
    this.moved(this.row);
  }
}

/** Where a row stands after a turn; before the first turn its own number says it. */
function sinceTurn(line: OrderRow): string {
  return line.inLeg && line.inLeg < line.row ? `Row ${line.inLeg} since the turn.` : "";
}

import { describe, expect, it } from "vitest";
import { Memory } from "./memory";

class Shelf {
  readonly held = new Map<string, string>();
  getItem = (name: string): string | null => this.held.get(name) ?? null;
  setItem = (name: string, text: string): void => void this.held.set(name, text);
}

function storage(shelf: object): Storage {
  return shelf as Storage;
}

const refusing = {
  getItem: (): string => {
    throw new Error("refused");
  },
  setItem: (): void => {
    throw new Error("refused");
  },
};

describe("the memory", () => {
  it("finds again what was kept, after the page was closed", () => {
    const shelf = new Shelf();
    new Memory(storage(shelf)).keep("piece", { ends: "40" });
    expect(new Memory(storage(shelf)).get("piece", { ends: "1", rows: "2" })).toEqual({ ends: "40", rows: "2" });
  });

  it("keeps for the time being where the browser refuses, and says so", () => {
    for (const memory of [new Memory(null), new Memory(storage(refusing))]) {
      memory.keep("piece", { ends: "40" });
      expect(memory.get("piece", { ends: "1" })).toEqual({ ends: "40" });
      expect(memory.lasting).toBe(false);
    }
  });

  it("takes what it cannot read for nothing", () => {
    const shelf = new Shelf();
    for (const text of ["{", "7", "null"]) {
      shelf.setItem("weavefuncs.piece", text);
      expect(new Memory(storage(shelf)).get("piece", { ends: "1" })).toEqual({ ends: "1" });
    }
  });
});

/** What was typed, kept in this browser; where that is refused, until the page closes. */

const PREFIX = "weavefuncs.";

/** Ask for the browser's storage; even asking may be refused. */
export function browserStorage(): Storage | null {
  try {
    return window.localStorage;
  } catch {
    return null;
  }
}

export class Memory {
  private readonly here = new Map<string, string>();
  /** Whether what is kept will be there after the page was closed. */
  lasting: boolean;

  constructor(private readonly storage: Storage | null) {
    this.lasting = storage !== null;
  }

  /** What was kept under a name, or what stands in for it; what cannot be read counts as nothing. */
  get<T extends object>(name: string, otherwise: T): T {
    try {
      const text = this.here.get(name) ?? this.storage?.getItem(PREFIX + name) ?? null;
      const kept: unknown = text === null ? null : JSON.parse(text);
      return kept && typeof kept === "object" ? { ...otherwise, ...kept } : otherwise;
    } catch {
      return otherwise;
    }
  }

  keep(name: string, value: object): void {
    const text = JSON.stringify(value);
    this.here.set(name, text);
    try {
      this.storage?.setItem(PREFIX + name, text);
    } catch {
      this.lasting = false;
    }
  }
}

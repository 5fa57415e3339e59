/** Asks the functions: what the page and the cells of Excel call. */
import type { Answer, Call, FromWorker, Reply, ToWorker } from "./messages";

export type { Answer, Cell, Reply } from "./messages";

export interface ArgumentInfo {
  name: string;
  /** The name in plain words. */
  words: string;
  help: string;
  kind: string;
  unit: string;
  required: boolean;
  default: string;
  choices: string[];
  list: boolean;
  grid: boolean;
}

export interface FunctionInfo {
  /** The name in a sheet, such as WEAVE.ENDS. */
  name: string;
  /** The name in Python, such as ends. */
  python: string;
  group: string;
  summary: string;
  returns: string;
  example: string;
  /** Whether any number of further arguments may follow. */
  repeats: boolean;
  args: ArgumentInfo[];
}

export interface Engine {
  ready: Promise<void>;
  functions: Promise<FunctionInfo[]>;
  /** Calls a function by its name in a sheet; a problem is an error value, never an exception. */
  call(name: string, args: Answer[]): Promise<Answer>;
  /** Tells in plain words why a call gives an error; empty when it gives none. */
  why(name: string, args: Answer[]): Promise<string>;
  /** Calls a function and tells the reason of an error along with it. */
  ask(name: string, args: Answer[]): Promise<Reply>;
}

interface Waiting {
  call: Call;
  resolve(reply: Reply): void;
  reject(problem: Error): void;
}

/** Starts the functions; they answer once they are ready, and calls made earlier wait. */
export function startEngine(): Engine {
  const files = new URL(".", document.baseURI).href;
  const worker = new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });
  const engine = engineOn(worker, functionList(files));
  worker.postMessage({ files, version: import.meta.env.VITE_VERSION } satisfies ToWorker);
  return engine;
}

async function functionList(files: string): Promise<FunctionInfo[]> {
  const response = await fetch(`${files}functions.json`);
  if (!response.ok) throw new Error(`functions.json could not be read (${response.status})`);
  return (await response.json()) as FunctionInfo[];
}

/** The part of a worker that is used. */
export type Port = Pick<Worker, "postMessage" | "addEventListener">;

/** Makes an engine that asks a worker. All calls of one turn of the page go in one message. */
export function engineOn(worker: Port, functions: Promise<FunctionInfo[]>): Engine {
  const batches = new Map<number, Waiting[]>();
  let gathered: Waiting[] = [];
  let batch = 0;
  // A message to ourselves comes when this turn is over. A timer would be slowed down in a hidden pane.
  const turn = new MessageChannel();
  turn.port1.onmessage = () => {
    const number = ++batch;
    batches.set(number, gathered);
    const calls = JSON.stringify(gathered.map(({ call }) => call));
    gathered = [];
    ready.then(
      () => worker.postMessage({ batch: number, calls } satisfies ToWorker),
      (problem: Error) => settle(number, problem.message),
    );
  };

  function settle(number: number, failed: string, replies?: string): void {
    const waiting = batches.get(number) ?? [];
    batches.delete(number);
    const answered = replies === undefined ? [] : (JSON.parse(replies) as Reply[]);
    waiting.forEach(({ resolve, reject }, index) => {
      const reply = answered[index];
      if (reply) resolve(reply);
      else reject(new Error(failed));
    });
  }

  const ready = new Promise<void>((resolve, reject) => {
    worker.addEventListener("error", () => {
      reject(new Error("The functions could not be started."));
      for (const number of [...batches.keys()]) settle(number, "The functions have stopped.");
    });
    worker.addEventListener("message", (event) => {
      const message = (event as MessageEvent<FromWorker>).data;
      if ("ready" in message) resolve();
      else if (!("batch" in message)) reject(new Error(`The functions could not be started: ${message.failed}`));
      else if ("failed" in message) settle(message.batch, message.failed);
      else settle(message.batch, "", message.replies);
    });
  });
  // Whoever waits for it or calls learns of a failed start; nobody has to.
  ready.catch(() => undefined);

  function ask(name: string, args: Answer[]): Promise<Reply> {
    return new Promise((resolve, reject) => {
      if (!gathered.length) turn.port2.postMessage(null);
      gathered.push({ call: [name, args], resolve, reject });
    });
  }

  async function call(name: string, args: Answer[]): Promise<Answer> {
    return (await ask(name, args))[0];
  }

  return {
    ready,
    functions,
    call,
    ask,
    async why(name, args) {
      const reason = await call("WEAVE.WHY", [name, ...args]);
      return isError(reason) ? reason.error : String(reason);
    },
  };
}

/** Tells whether a cell is an error value. */
export function isError(value: Answer): value is { error: string } {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

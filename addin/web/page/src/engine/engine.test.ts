import { expect, test, vi } from "vitest";
import { engineOn, type Port } from "./engine";
import type { Call, FromWorker, Reply, ToWorker } from "./messages";

/** A worker that answers each call with the name of its function, once the test lets it. */
class StandIn {
  readonly batches: Call[][] = [];
  silent = false;
  private listener: ((event: MessageEvent<FromWorker>) => void) | undefined;
  private stopped: (() => void) | undefined;

  readonly port = {
    addEventListener: (kind: string, listener: (event: MessageEvent<FromWorker>) => void) => {
      if (kind === "message") this.listener = listener;
      else this.stopped = listener as () => void;
    },
    postMessage: (message: ToWorker) => {
      if (!("batch" in message)) return;
      const calls = JSON.parse(message.calls) as Call[];
      this.batches.push(calls);
      if (this.silent) return;
      const replies = calls.map(([name]): Reply => [name, ""]);
      this.say({ batch: message.batch, replies: JSON.stringify(replies) });
    },
  } as unknown as Port;

  stop(): void {
    this.stopped?.();
  }

  say(message: FromWorker): void {
    this.listener?.({ data: message } as MessageEvent<FromWorker>);
  }
}

const none = Promise.resolve([]);

test("calls of one turn go together, and each gets its own answer", async () => {
  const worker = new StandIn();
  const engine = engineOn(worker.port, none);
  worker.say({ ready: true });
  const answers = await Promise.all([engine.call("WEAVE.ENDS", [15]), engine.call("WEAVE.TEX", ["8/2 Ne"])]);
  expect(answers).toEqual(["WEAVE.ENDS", "WEAVE.TEX"]);
  await engine.call("WEAVE.LIFT", []);
  expect(worker.batches).toEqual([
    [["WEAVE.ENDS", [15]], ["WEAVE.TEX", ["8/2 Ne"]]],
    [["WEAVE.LIFT", []]],
  ]);
});

test("calls made before the functions are ready wait for them", async () => {
  const worker = new StandIn();
  const engine = engineOn(worker.port, none);
  const early = engine.call("WEAVE.ENDS", []);
  worker.say({ ready: true });
  expect(await early).toBe("WEAVE.ENDS");
});

test("when the functions do not start, every call says so", async () => {
  const worker = new StandIn();
  const engine = engineOn(worker.port, none);
  const early = engine.call("WEAVE.ENDS", []);
  worker.say({ failed: "no room" });
  await expect(engine.ready).rejects.toThrow("could not be started: no room");
  await expect(early).rejects.toThrow("could not be started: no room");
  await expect(engine.call("WEAVE.ENDS", [])).rejects.toThrow("could not be started");
  expect(worker.batches).toEqual([]);
});

test("when the functions stop, no call waits for ever", async () => {
  const worker = new StandIn();
  worker.silent = true;
  const engine = engineOn(worker.port, none);
  worker.say({ ready: true });
  const call = engine.call("WEAVE.ENDS", []);
  await vi.waitUntil(() => worker.batches.length > 0);
  worker.stop();
  await expect(call).rejects.toThrow("have stopped");
});

test("the reason is asked of the functions", async () => {
  const worker = new StandIn();
  const engine = engineOn(worker.port, none);
  worker.say({ ready: true });
  await engine.why("WEAVE.ENDS", [15, 0]);
  expect(worker.batches).toEqual([[["WEAVE.WHY", ["WEAVE.ENDS", 15, 0]]]]);
});

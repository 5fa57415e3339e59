/** What the page and the worker send each other. */

/** What a cell holds or shows; an error value by its text, such as "#VALUE!". */
export type Cell = null | boolean | number | string | { error: string };

/** An argument, or what cells show: one cell, or rows of cells. */
export type Answer = Cell | Cell[][];

/** A call: the name in a sheet, and what its argument cells hold. */
export type Call = [name: string, args: Answer[]];

/** What comes of a call; the reason is plain words where the answer is one error, and else empty. */
export type Reply = [answer: Answer, reason: string];

/** To the worker: first where its files are, then calls, as JSON because one text crosses fastest. */
export type ToWorker = { files: string; version: string } | { batch: number; calls: string };

/** From the worker. */
export type FromWorker =
  | { ready: true }
  | { failed: string }
  | { batch: number; replies: string }
  | { batch: number; failed: string };

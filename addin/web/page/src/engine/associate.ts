/** Gives Excel the functions for its cells. */
import type { Engine } from "./engine";

/** Tells whether the page was opened by the manifest's address. */
export function openedInExcel(): boolean {
  return new URLSearchParams(location.search).get("in") === "excel";
}

export async function connectExcel(engine: Engine): Promise<void> {
  await engine.functions;
}

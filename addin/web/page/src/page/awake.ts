/** Keeps the screen lit while somebody weaves from it, where the browser can. */

let lamp: WakeLockSentinel | null = null;

export async function keepAwake(wanted: boolean): Promise<void> {
  try {
    await lamp?.release();
    lamp = wanted ? await navigator.wakeLock.request("screen") : null;
  } catch {
    // The screen goes dark as always.
    lamp = null;
  }
}

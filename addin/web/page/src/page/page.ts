/** The page: its two parts, and what is said about loading. */
import type { Engine } from "../engine/engine";
import { showCloth } from "./cloth";
import { byId, make, say } from "./dom";
import { showFunctions } from "./functions";
import { browserStorage, Memory } from "./memory";
import { keepOffline } from "./offline";
import { readWords } from "./shared_words";

const PARTS = ["cloth", "functions"];

/** Shows the page. */
export function showPage(engine: Engine): void {
  const memory = new Memory(browserStorage());
  tellState(engine);
  const cloth = showCloth(engine, memory, readWords());
  const functions = showFunctions(engine, memory);
  const go = (moved: boolean): void => {
    const [part = "", chosen = ""] = location.hash.slice(1).split("/");
    if (moved && !PARTS.includes(part)) return;
    const shown = PARTS.includes(part) ? part : memory.get("part", { name: "cloth" }).name;
    showPart(shown, moved);
    if (shown === "functions") functions.choose(chosen);
    else cloth.fit();
    memory.keep("part", { name: shown });
    tellMemory(memory);
  };
  window.addEventListener("hashchange", () => go(true));
  go(false);
  if (import.meta.env.PROD) keepOffline();
}

function showPart(name: string, moved: boolean): void {
  document.body.dataset["part"] = name;
  for (const part of PARTS) {
    byId(`part-${part}`).hidden = part !== name;
    const link = document.querySelector(`nav a[href="#${part}"]`);
    if (part === name) link?.setAttribute("aria-current", "page");
    else link?.removeAttribute("aria-current");
  }
  // A function chosen takes the focus itself.
  if (moved && !location.hash.includes("/")) byId(`${name}-heading`).focus({ preventScroll: false });
}

function tellState(engine: Engine): void {
  const state = byId("state");
  engine.ready.then(
    () => {
      state.dataset["state"] = "ready";
      say(state, "Ready.");
    },
    (problem: Error) => {
      state.dataset["state"] = "failed";
      say(state, `The arithmetic could not be loaded, so nothing can be worked out. Reload the page to try again. (${problem.message})`);
      state.append(" ", reloadButton());
    },
  );
}

function reloadButton(): HTMLButtonElement {
  const button = make("button", { type: "button" }, "Reload");
  button.addEventListener("click", () => location.reload());
  return button;
}

function tellMemory(memory: Memory): void {
  say(
    byId("kept"),
    memory.lasting
      ? "What you type is kept in this browser, for the next time."
      : "This browser keeps nothing for this page: what you type is gone when you close it.",
  );
}

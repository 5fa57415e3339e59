import type { Engine } from "../engine/engine";

/** Shows the page. */
export function showPage(engine: Engine): void {
  const place = document.getElementById("page");
  void engine.functions.then((functions) => {
    if (place) place.textContent = `${functions.length} functions`;
  });
}

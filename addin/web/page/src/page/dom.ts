/** Short ways to find and make elements. */

/** The element of the page with that id; the page is written by hand, so it is there. */
export function byId<T extends HTMLElement = HTMLElement>(id: string): T {
  const found = document.getElementById(id);
  if (!found) throw new Error(`the page has no element called ${id}`);
  return found as T;
}

/** Make an element with attributes and children; an attribute that is false is left out. */
export function make<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes: Record<string, string | boolean> = {},
  ...children: (Node | string)[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== false) element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children);
  return element;
}

/** Set a text only where it changes, so that a screen reader is not told twice. */
export function say(element: HTMLElement, text: string): void {
  if (element.textContent !== text) element.textContent = text;
}

/** Call a function once things have been quiet for a while. */
export function whenQuiet(milliseconds: number, act: () => void): () => void {
  let timer = 0;
  return () => {
    window.clearTimeout(timer);
    timer = window.setTimeout(act, milliseconds);
  };
}

/** Show a sentence beside a field, or take it away, and tell screen readers that the field is wrong. */
export function showProblem(field: HTMLElement, problem: HTMLElement, sentence: string): void {
  say(problem, sentence);
  problem.hidden = sentence === "";
  if (sentence) field.setAttribute("aria-invalid", "true");
  else field.removeAttribute("aria-invalid");
}

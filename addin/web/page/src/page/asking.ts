/** A question with two answers. Excel does not let a pane use the browser's own. */
import { byId, say } from "./dom";
import { counted } from "./words";

/** Ask whether filled cells may be written over; closing the question means no. */
export function ask(address: string, filled: number): Promise<boolean> {
  const dialog = byId<HTMLDialogElement>("ask");
  say(byId("ask-words"), `${address} holds ${counted(filled, "filled cell")}. Write over ${filled === 1 ? "it" : "them"}?`);
  return new Promise((resolve) => {
    const yes = byId("ask-yes");
    const no = byId("ask-no");
    const answer = (event: Event): void => dialog.close(event.currentTarget === yes ? "yes" : "no");
    dialog.returnValue = "no";
    yes.addEventListener("click", answer);
    no.addEventListener("click", answer);
    dialog.addEventListener(
      "close",
      () => {
        yes.removeEventListener("click", answer);
        no.removeEventListener("click", answer);
        resolve(dialog.returnValue === "yes");
      },
      { once: true },
    );
    dialog.showModal();
  });
}

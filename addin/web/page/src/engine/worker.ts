/** Runs the Python functions, away from the page: what it calculates never holds the page up. */
import type { PyodideAPI } from "pyodide";
import type { FromWorker, ToWorker } from "./messages";

type Answers = (calls: string) => string;

let answers: Answers | undefined;

self.addEventListener("message", (event: MessageEvent<ToWorker>) => {
  const message = event.data;
  if ("files" in message) {
    start(message.files, message.version).then(
      (made) => {
        answers = made;
        send({ ready: true });
      },
      (problem: unknown) => send({ failed: String(problem) }),
    );
    return;
  }
  try {
    if (!answers) throw new Error("the functions have not started");
    send({ batch: message.batch, replies: answers(message.calls) });
  } catch (problem) {
    send({ batch: message.batch, failed: String(problem) });
  }
});

function send(message: FromWorker): void {
  self.postMessage(message);
}

async function start(files: string, version: string): Promise<Answers> {
  const wheel = `weavefuncs-${version}-py3-none-any.whl`;
  const [python, core] = await Promise.all([startPython(`${files}pyodide/`), fetched(files + wheel)]);
  // Python imports from the wheel as it is: unpacking would cost more than it saves.
  python.FS.writeFile(`/${wheel}`, core);
  python.runPython(`import sys; sys.path.insert(0, "/${wheel}")`);
  return python.pyimport("weavefuncs.addin.web.bridge").answers;
}

async function startPython(folder: string): Promise<PyodideAPI> {
  const module = (await import(/* @vite-ignore */ `${folder}pyodide.mjs`)) as typeof import("pyodide");
  return module.loadPyodide({ indexURL: folder });
}

async function fetched(address: string): Promise<Uint8Array> {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${address} could not be read (${response.status})`);
  return new Uint8Array(await response.arrayBuffer());
}

// What takes the engine long is worked out beside the page, in a worker with an engine of its own, so that the drawing
// goes on moving.

/** WorkerClient asks the worker's engine for documents of a rig's text. */
export class WorkerClient {
  #worker = null;
  #last = 0;
  #waiting = new Map();

  /** ask gives what the engine answers to a call about a text: a document, or {errors}. It fails if there is no worker to be had. */
  ask(text, call, ...args) {
    this.#worker ??= this.#start();
    return new Promise((resolve, reject) => {
      const id = ++this.#last;
      this.#waiting.set(id, { resolve, reject });
      this.#worker.postMessage({ id, text, call, args });
    });
  }

  #start() {
    const worker = new Worker("engine-worker.js");
    worker.addEventListener("message", ({ data }) => {
      this.#waiting.get(data.id)?.resolve(data.answer);
      this.#waiting.delete(data.id);
    });
    worker.addEventListener("error", (e) => {
      e.preventDefault();
      for (const { reject } of this.#waiting.values()) reject(new Error("This could not be worked out. Load the page again."));
      this.#waiting.clear();
      worker.terminate();
      if (this.#worker === worker) this.#worker = null;
    });
    return worker;
  }
}

/**
 * follow keeps a part of the page up to date with what the worker's engine answers about the rig: show gets the latest answer, and while
 * a newer one is worked out, node is marked as busy. It gives what stops it, and what asks again.
 */
export function follow(rig, client, node, show, call, args = () => []) {
  let timer = 0, asked = null, busy = false, stopped = false;
  const question = () => JSON.stringify([rig.state.text, args()]);
  // One at a time: what changes meanwhile is asked after, and only the last of it.
  const ask = async () => {
    if (busy || question() === asked) return;
    busy = true;
    asked = question();
    node.setAttribute("aria-busy", "true");
    let answer;
    try {
      answer = await client.ask(rig.state.text, call, ...args());
    } catch (error) {
      answer = { errors: [{ problem: error.message, remedy: "" }] };
    }
    busy = false;
    if (stopped) return;
    if (question() !== asked) {
      ask();
      return;
    }
    node.removeAttribute("aria-busy");
    show(answer);
  };
  const soon = () => { clearTimeout(timer); timer = setTimeout(ask, 150); };
  rig.addEventListener("state", soon);
  ask();
  return { again: soon, stop: () => { stopped = true; clearTimeout(timer); rig.removeEventListener("state", soon); } };
}

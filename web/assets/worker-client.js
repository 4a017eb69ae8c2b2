// What takes the engine long is worked out beside the page, in a worker with an engine of its own,
// so that the drawing goes on moving.
import { units } from "./units.js";

/** WorkerClient asks the worker's engine for documents of a rig's text. */
export class WorkerClient {
  #worker = null;
  #last = 0;
  #waiting = new Map();

  /**
   * ask gives what the engine answers to a call about an axle of a text: a document, or {errors}. It
   * fails if the worker or its engine does not load, or ends; the next question starts another one.
   */
  ask({ text, axle }, call, ...args) {
    this.#worker ??= this.#start();
    return new Promise((resolve, reject) => {
      const id = ++this.#last;
      this.#waiting.set(id, { resolve, reject });
      this.#worker.postMessage({ id, units: units(), text, axle, call, args });
    });
  }

  #start() {
    const worker = new Worker("engine-worker.js");
    worker.addEventListener("message", ({ data }) => {
      if (data.failed) { this.#drop(worker); return; }
      this.#waiting.get(data.id)?.resolve(data.answer);
      this.#waiting.delete(data.id);
    });
    worker.addEventListener("error", (e) => {
      e.preventDefault();
      this.#drop(worker);
    });
    return worker;
  }

  // #drop ends a worker that answers no more.
  #drop(worker) {
    worker.terminate();
    if (this.#worker !== worker) return;
    this.#worker = null;
    for (const { reject } of this.#waiting.values()) reject(new Error("a part of the page that works this out did not load, or has stopped"));
    this.#waiting.clear();
  }
}

/**
 * follow keeps a part of the page up to date with what the worker's engine answers about the rig:
 * show gets the latest answer, and while a newer one is worked out, node is marked as busy. An
 * answer's errors carry what asks again where the worker failed; the next change of the rig asks
 * again too. It gives what stops it, and what asks again.
 */
export function follow(rig, client, node, show, call, args = () => []) {
  let timer = 0, asked = null, busy = false, stopped = false;
  const question = () => JSON.stringify([units(), rig.state.text, rig.state.axle, args()]);
  // One at a time: what changes meanwhile is asked after, and only the last of it.
  const ask = async () => {
    if (stopped || busy || question() === asked) return;
    busy = true;
    asked = question();
    node.setAttribute("aria-busy", "true");
    let answer, failed = false;
    try {
      answer = await client.ask(rig.state, call, ...args());
    } catch (error) {
      failed = true;
      answer = { errors: [{ problem: error.message, remedy: "try again, or load the page again", again: ask }] };
    }
    busy = false;
    if (stopped) return;
    if (question() !== asked) {
      ask();
      return;
    }
    if (failed) asked = null;
    node.removeAttribute("aria-busy");
    show(answer);
  };
  const soon = () => { clearTimeout(timer); timer = setTimeout(ask, 150); };
  rig.addEventListener("state", soon);
  ask();
  return { again: soon, stop: () => { stopped = true; clearTimeout(timer); rig.removeEventListener("state", soon); } };
}

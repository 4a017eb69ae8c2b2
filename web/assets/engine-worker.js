// The engine beside the page, for what takes long: see worker-client.js.
importScripts("engine/wasm_exec.js");

async function start() {
  const go = new Go();
  const ready = new Promise((resolve) => { globalThis.evenlockReady = () => resolve(globalThis.evenlock); });
  const answer = await fetch("engine/engine.wasm");
  if (!answer.ok) throw new Error(`engine.wasm: ${answer.status}`);
  const { instance } = await WebAssembly.instantiate(await answer.arrayBuffer(), go.importObject);
  const ended = go.run(instance).then(() => { throw new Error("the engine ended"); });
  // An engine that ends later leaves questions without an answer.
  ended.catch(failed);
  return Promise.race([ready, ended]);
}

// failed says that this worker will answer nothing any more: the page starts another one.
const failed = () => postMessage({ failed: true });

const engine = start();
engine.catch(failed);

let open = null;

addEventListener("message", async ({ data: { id, units, text, axle, call, args } }) => {
  let e;
  try {
    e = await engine;
  } catch {
    return; // it was said that it failed
  }
  e.units(units);
  postMessage({ id, answer: work(e, text, axle, call, args) });
});

function work(e, text, axle, call, args) {
  if (open?.text !== text) {
    if (open) e.close(open.id);
    open = null;
    const state = e.open(text);
    if (state.errors) return state;
    open = { text, id: state.id, axle: 1 };
  }
  if (open.axle !== axle) {
    const state = e.axle(open.id, axle);
    if (state.errors) return state;
    open.axle = axle;
  }
  return e[call](open.id, ...args);
}

// The engine beside the page, for what takes long: see worker-client.js.
importScripts("engine/wasm_exec.js");

const engine = (async () => {
  const go = new Go();
  const ready = new Promise((resolve) => { globalThis.evenlockReady = () => resolve(globalThis.evenlock); });
  const answer = await fetch("engine/engine.wasm");
  if (!answer.ok) throw new Error("The engine is not there.");
  const { instance } = await WebAssembly.instantiate(await answer.arrayBuffer(), go.importObject);
  go.run(instance);
  return ready;
})();

let open = null;

addEventListener("message", async ({ data: { id, text, call, args } }) => {
  let answer;
  try {
    answer = await work(text, call, args);
  } catch (error) {
    answer = { errors: [{ problem: error.message, remedy: "Load the page again." }] };
  }
  postMessage({ id, answer });
});

async function work(text, call, args) {
  const e = await engine;
  if (open?.text !== text) {
    if (open) e.close(open.id);
    open = null;
    const state = e.open(text);
    if (state.errors) return state;
    open = { text, id: state.id };
  }
  return e[call](open.id, ...args);
}

// Starts the engine: the Go program that does all geometry, in this page.

/** startEngine gives the object that package engine documents. */
export async function startEngine() {
  const go = new globalThis.Go();
  const ready = new Promise((resolve) => { globalThis.evenlockReady = () => resolve(globalThis.evenlock); });
  const { instance } = await load("engine/engine.wasm", go.importObject);
  const ended = go.run(instance).then(() => { throw new Error("The engine ended."); });
  ended.catch(() => dispatchEvent(new Event("engineended")));
  return Promise.race([ready, ended]);
}

async function load(url, imports) {
  const answer = await fetch(url);
  if (!answer.ok) throw new Error("The engine is not there.");
  if (answer.headers.get("Content-Type")?.startsWith("application/wasm")) {
    return WebAssembly.instantiateStreaming(answer, imports);
  }
  // Some file hosts do not know the type.
  return WebAssembly.instantiate(await answer.arrayBuffer(), imports);
}


// The worker: it is given the engine once, compiled, and then one request after the other.
"use strict";
let answer = null;
globalThis.ready = (f) => { answer = f; };
onmessage = async (m) => {
  const { module, id, request } = m.data;
  try {
    if (module) {
      const go = new Go();
      go.exit = () => { answer = null; };
      go.run(await WebAssembly.instantiate(module, go.importObject)).catch(() => { answer = null; });
      postMessage({ up: true });
      return;
    }
    postMessage({ id, answer: answer(request) });
  } catch (e) {
    postMessage({ id, broken: String(e) });
  }
};

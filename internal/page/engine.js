"use strict";

// The engine runs in two workers, so that a visit goes on while results are worked out:
// `desk` keeps the visit, `mill` works out results. What mill works at is dropped when the
// readings have changed meanwhile.

class Engine {
  constructor(source, module) {
    this.source = source;
    this.module = module;
    this.next = 0;
    this.waiting = new Map();
    this.start();
  }

  start() {
    const url = URL.createObjectURL(new Blob([this.source], { type: "text/javascript" }));
    this.worker = new Worker(url);
    URL.revokeObjectURL(url);
    this.worker.onmessage = (m) => this.take(m.data);
    this.worker.onerror = (e) => { e.preventDefault(); this.restart("the engine has stopped: " + e.message); };
    this.worker.postMessage({ module: this.module });
  }

  take({ id, answer, broken }) {
    const call = this.waiting.get(id);
    if (!call) return;
    this.waiting.delete(id);
    if (broken !== undefined || typeof answer !== "string") {
      call.fail(new Fault({ error: "the engine has stopped; what was typed is kept" }));
      this.restart("the engine has stopped");
      return;
    }
    const out = JSON.parse(answer);
    if (out && out.error) call.fail(new Fault(out));
    else call.done(out);
  }

  // restart drops all that is being worked out.
  restart(why) {
    this.worker.terminate();
    const left = [...this.waiting.values()];
    this.waiting.clear();
    this.start();
    for (const call of left) call.fail(new Fault({ error: why || "dropped", dropped: !why }));
  }

  ask(request) {
    return new Promise((done, fail) => {
      this.waiting.set(++this.next, { done, fail });
      this.worker.postMessage({ id: this.next, request: JSON.stringify(request) });
    });
  }

  get busy() { return this.waiting.size > 0; }
}

// Fault is what the engine says went wrong.
class Fault extends Error {
  constructor(out) {
    super(out.error);
    this.problems = out.problems || [];
    this.fields = out.fields || [];
    this.dropped = out.dropped;
  }
}

// bytes are what a text in the 85 characters of Ascii85 stands for; v is written for <, and
// z for four zeros.
function bytes(text) {
  const out = new Uint8Array(4 * text.length);
  let n = 0, group = 0, count = 0;
  for (let i = 0; i < text.length; i++) {
    const c = text.charCodeAt(i);
    if (c === 122) { n += 4; continue; }
    group = group * 85 + (c === 118 ? 60 : c) - 33;
    if (++count < 5) continue;
    out[n++] = group / 16777216; out[n++] = group / 65536; out[n++] = group / 256; out[n++] = group;
    group = count = 0;
  }
  for (let k = count; k > 0 && k < 5; k++) group = group * 85 + 84;
  for (let k = 1; k < count; k++) { out[n++] = group / 16777216; group = group % 16777216 * 256; }
  return out.subarray(0, n);
}

// unpack compiles the engine that the page carries.
async function unpack() {
  if (typeof WebAssembly !== "object" || typeof DecompressionStream !== "function") {
    throw new Error("this browser is too old for the page; one of 2023 or later runs it");
  }
  const text = document.getElementById("engine");
  const packed = bytes(text.textContent);
  text.remove();
  const raw = new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip")));
  return WebAssembly.compile(await raw.arrayBuffer());
}

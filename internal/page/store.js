
// What the browser keeps: for each visit the text of its sheet, and how results are shown.

const kept = "holdbook visit ";
const memory = new Map(); // where the browser keeps nothing

const store = {
  // works says whether the browser keeps what it is given.
  works: (() => {
    try {
      localStorage.setItem("holdbook", "x");
      localStorage.removeItem("holdbook");
      return true;
    } catch { return false; }
  })(),

  read(id) {
    return this.works ? localStorage.getItem(kept + id) : memory.get(id) ?? null;
  },

  // write keeps the text of a visit in place of what it was; false when it is that no
  // longer: another window has written to it.
  write(id, was, text) {
    if (this.read(id) !== was) return false;
    if (this.works) {
      try { localStorage.setItem(kept + id, text); return true; } catch { this.works = false; }
    }
    memory.set(id, text);
    return true;
  },

  remove(id) {
    memory.delete(id);
    if (this.works) localStorage.removeItem(kept + id);
  },

  // visits are those kept, the latest first.
  visits() {
    const ids = [...memory.keys()];
    for (let i = 0; this.works && i < localStorage.length; i++) {
      const key = localStorage.key(i);
      if (key.startsWith(kept)) ids.push(key.slice(kept.length));
    }
    return ids.sort().reverse().map((id) => ({ id, text: this.read(id) }));
  },

  // setting is a word kept for all visits.
  setting(name, value) {
    try {
      if (value !== undefined) localStorage.setItem("holdbook " + name, value);
      return localStorage.getItem("holdbook " + name) || "";
    } catch { return value || ""; }
  },
};

// called is how a visit is named in a list: by its sheet's job.
function called(text) {
  const job = /^\[job\][^[]*/m.exec(text)?.[0] || "";
  const value = (key) => new RegExp("^" + key + "\\s*=\\s*\"?((?:[^\"\\\\\\n]|\\\\.)*)", "m").exec(job)?.[1].replace(/\\(.)/g, "$1").trim() || "";
  return [value("name") || "A house", value("date")].filter(Boolean).join(", ");
}

// fileName is the name that a visit leaves the phone under.
function fileName(text) {
  return (called(text).normalize("NFKD").replace(/[^A-Za-z0-9]+/g, "-").replace(/^-|-$/g, "").slice(0, 60).toLowerCase() || "visit") + ".toml";
}

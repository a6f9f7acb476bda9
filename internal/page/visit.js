
// The visit: how it starts, one question at a time, and holds of one's own.

// meant says of a kind of space what its word does not.
const meant = { kneewall: "the space behind it", neighbour: "another dwelling", room: "one that is shut off from the rest", ducts: "wherever they run, that is asked later" };

async function startScreen() {
  const kinds = await desk.ask({ do: "kinds" });
  const metric = unitsWanted() === "si";
  const job = el("input", { id: "job", autocomplete: "off" });
  const units = select("units", [["ip", "cfm and square inches"], ["si", "m³/h and cm²"]], metric ? "si" : "ip");
  const pressure = select("pressure", [["Pa", "Pa"], ["inH2O", "inH2O"]]);
  const flow = select("flow", [["cfm", "cfm"], ["L/s", "L/s"], ["m3/h", "m³/h"]], metric ? "m3/h" : "cfm");
  const volume = el("input", { id: "volume", inputmode: "decimal", autocomplete: "off" });
  const more = el("input", { id: "more", autocomplete: "off" });
  units.addEventListener("change", () => { flow.value = units.value === "si" ? "m3/h" : "cfm"; });
  const boxes = kinds.map((kind) => el("label", { class: "box" }, el("input", { type: "checkbox", name: "kind", value: kind }), el("span", {}, kind, meant[kind] && el("span", { class: "hint" }, ": " + meant[kind]))));
  const submit = async () => {
    const spaces = boxes.map((b) => b.firstChild).filter((b) => b.checked).map((b) => ({ kind: b.value }));
    for (const name of more.value.split(",")) if (name.trim()) spaces.push({ name: name.trim() });
    try {
      const v = await desk.ask({ do: "start", start: { job: job.value, units: units.value, pressure: pressure.value, flow: flow.value, volume: point(volume.value), spaces } });
      store.setting("units", units.value);
      await openVisit("", v.sheet);
    } catch (e) {
      if (!atFields(e)) throw e;
    }
  };
  show(form(submit, el("h2", {}, "Start a visit"),
    field("Name of the job", job, "such as the street; it stands in the sheet"),
    el("fieldset", {}, el("legend", {}, "Spaces to read beside the house"), boxes, el("p", { id: "spaces-fault", class: "fault", role: "alert" })),
    field("More spaces, with commas between", more, "by any name that ends in what it is, such as side garage"),
    field("Volume of the house", volume, "for air changes; a bare number is in ft³, or m³ for the metric units. May be left out"),
    field("Results in", units), field("The gauge shows pressures in", pressure), field("and flows in", flow),
    el("button", { class: "main" }, "Start")));
  main.focus();
}

function form(submit, ...inside) {
  return el("form", { novalidate: true, onsubmit: (e) => { e.preventDefault(); guarded(submit); } }, inside);
}

// atFields shows what is wrong with the fields of a form; false where that is not it.
function atFields(e) {
  for (const line of document.querySelectorAll(".fault")) line.textContent = "";
  for (const f of e.fields || []) {
    document.getElementById(f.field + "-fault").textContent = sentence(f.text);
    document.getElementById(f.field)?.focus();
  }
  return e.fields?.length > 0;
}

// point is a number as typed with the keypad of a phone, whose comma may be the decimal
// point: 12,5 is. Where it may part thousands the engine asks what is meant.
function point(text) {
  return /^\s*[-+]?\d+,(\d{1,2}|\d{4,})\s*$/.test(text) ? text.replace(",", ".") : text;
}

// readScreen asks the present question.
async function readScreen() {
  const working = work(); // meanwhile the next answer can be given
  if (!now.asked) show(el("p", { role: "status" }, "Looking for what is next …"));
  now.asked = await desk.ask({ do: "ask", later: true });
  if (now.screen !== "read") return;
  drawRead();
  if (now.asked.lacks) propose(working);
}

// propose has the mill work out what to read next, once it has said what is known.
async function propose(working) {
  const { asked, text } = now;
  const stands = () => now.asked === asked && now.text === text && now.screen === "read";
  try {
    await working;
    if (!stands()) return;
    const proposed = await run({ do: "propose" });
    if (!stands()) return;
    const again = await desk.ask({ do: "ask", later: true, proposed });
    if (!stands()) return;
    now.asked = again;
    drawRead();
  } catch (e) {
    if (!e.dropped && stands()) guarded(() => { throw e; });
  }
}

function drawRead() {
  const q = now.asked.question;
  const own = !q || q.Step === "no further readings";
  show(
    el("div", { id: "said", role: "status" }, now.said.map((s) => el("p", { class: now.refused ? "warning" : "note" }, sentence(s)))),
    el("div", { id: "slips", role: "status" }, slipsHere()),
    q ? question(q) : el("section", {}, el("h2", {}, "The visit is complete"), el("p", {}, "Send the sheet away before you leave."),
      button("Go to the sheet", () => turn("sheet"), { class: "main" }), button("What to seal first", () => turn("seal"), { class: "main" })),
    el("section", { id: "quick", role: "status" }),
    own && ownHold());
  drawQuick();
  const key = q ? q.Step + "\n" + q.Hold : "";
  if (now.shown !== key) scrollTo(0, 0);
  now.shown = key;
  const input = document.querySelector("#answer, .part");
  if (input) { input.focus({ preventScroll: true }); input.select(); }
}

// slipsHere are the slips of the answer given last, and what keeps the sheet from being used.
function slipsHere() {
  const last = now.last || {};
  return now.slips.filter((s) => s.level !== "note" && (s.level === "blocks" || s.step === last.step && s.hold === last.hold))
    .map((s) => slipLine(s, true));
}

function slipLine(s, way) {
  return el("p", { class: "warning" }, el("b", {}, "Look: "), (s.about ? s.about + ": " : "") + s.text + (s.look ? "; look at: " + s.look : "") + " ",
    way && s.step && button("Change it", () => change(s.step, s.hold)));
}

// change goes back to an answer.
async function change(step, hold) {
  await desk.ask({ do: "go", step, hold });
  Object.assign(now, { said: [], typed: null, asked: null });
  await turn("read");
}

// question is the form of one question.
function question(q) {
  const listed = q.Several && !q.Field || q.Choices?.some((c) => c.Do); // by the choices
  const bare = !q.Field && q.Choices?.length === 1 && sentence(q.Ask) === q.Choices[0].Text && q.Lines?.length > 0; // the button asks it
  if (now.asked.lacks) return awaited();
  return form(() => onward() || give(read(q)),
    bare ? [el("h2", {}, q.Lines[0]), instructions(q.Lines.slice(1))] : instructions(listed ? q.Lines.slice(0, 1) : q.Lines),
    once(q),
    typing(q) && !q.Parts ? el("h2", {}, el("label", { for: "answer" }, sentence(q.Ask))) : !bare && el("h2", {}, sentence(q.Parts ? q.Ask.split(", as the")[0] : q.Ask.split(":")[0])),
    q.Parts ? parts(q) : typing(q) && typed(q),
    q.Several ? several(q) : choices(q),
    el("div", { class: "row" }, button("Back", () => give("back")),
      q.Skip && button("Skip", () => give("skip")),
      q.Reading && button("Not readable", () => give("-"))),
    hints(q));
}

// awaited stands in the place of the proposals until they are there.
function awaited() {
  return el("section", {}, el("h2", {}, "What to read next"),
    el("p", { role: "status" }, "What would settle most is being worked out. This can take half a minute on a phone; another hold can be begun meanwhile."),
    button("No further reading", () => give("none"), { class: "main" }), el("div", { class: "row" }, button("Back", () => give("back"))));
}

// typing tells whether an answer is typed: where several can be picked none is.
const typing = (q) => q.Field && !q.Several;

// hints are those of a question, and what its buttons mean.
function hints(q) {
  const list = (q.Hints || []).map(sentence);
  if (q.Skip) list.push("Skip: it is not wanted, or comes later; the sheet has it in its list, to be changed.");
  if (q.Reading) list.push("Not readable: it was tried, and the gauge gave nothing to write down.");
  return list.length > 0 && el("details", { ontoggle: (e) => { if (e.target.open) e.target.scrollIntoView({ block: "nearest" }); } }, el("summary", {}, "Hints"), paragraphs(list));
}

// once are instructions that stand at the first question of their kind.
function once(q) {
  const text = (q.Once || []).join("\n"), key = q.Step + "\n" + q.Hold;
  now.told[text] ??= key;
  return now.told[text] === key && paragraphs(q.Once);
}

// onward goes to the next field that is still empty, where a phone's key for "done" was
// pressed in one of several; false where there is none.
function onward() {
  const open = document.activeElement?.matches(".part") && [...document.querySelectorAll(".part")].find((f) => !f.value.trim());
  if (open) open.focus();
  return Boolean(open);
}

// written is what was typed into a field by its place, where it was not taken: it is to be
// mended, not to be typed again.
const written = (i) => now.typed?.[i];

// parts are the fields of an answer of several numbers.
function parts(q) {
  const standing = (q.Standing || "").replace(/([0-9]) +(?=[A-Za-z])/g, "$1").split(" ");
  return [q.Parts.map((p, i) => el("div", {}, el("label", { for: "part" + i }, sentence(p.Ask) + " (" + p.Unit + ")"), el("div", { class: "typed" }, numberField("part" + i, p.Unit, written(i) ?? standing[i] ?? "", "part")))), keep(q)];
}

// instructions are lines before a question; those with a dash are a list.
function instructions(lines) {
  const out = [];
  for (const line of lines || []) {
    const item = /^(?:-|\d+ )\s*(.*)/.exec(line);
    if (!item) { if (line) out.push(el("p", {}, line.trim())); continue; }
    if (out.at(-1)?.tagName !== "UL") out.push(el("ul", {}));
    out.at(-1).append(el("li", {}, item[1]));
  }
  return out;
}

// typed is the field of a question, with its unit and a key for the sign that a phone's
// keypad has not.
function typed(q) {
  const value = written(0) ?? (picked(q) ? "" : q.Default);
  if (q.Field === "number") return [el("div", { class: "typed" }, numberField("answer", q.Unit, value)), keep(q)];
  return [el("div", { class: "typed" }, el("input", { id: "answer", type: "text", autocomplete: "off", autocapitalize: "off", spellcheck: "false", value })), keep(q)];
}

// picked tells whether what an empty answer stands for has a button of its own.
const picked = (q) => q.Default && q.Choices?.some((c) => c.Answer === q.Default);

const keep = (q) => el("button", { class: "main" }, q.Standing ? "Keep it so" : "Keep");

// numberField takes a number; its unit stands beside it unless one is typed.
function numberField(id, unit, value, name) {
  const shown = el("span", { class: "unit" }, unit.replace(/(in|ft|m)2/, "$1²").replace(/(ft|m)3/, "$1³"));
  const input = el("input", { id, type: "text", class: name, inputmode: "decimal", autocomplete: "off", autocapitalize: "off", spellcheck: "false", value, oninput: () => look() });
  const look = () => { shown.hidden = !unit || /[a-z°]/i.test(input.value); };
  const turnSign = () => { input.value = input.value.startsWith("-") ? input.value.slice(1) : "-" + input.value; input.focus(); };
  look();
  return [/Pa|H2O|°/.test(unit) && el("button", { type: "button", "aria-label": "Turn the sign", onclick: turnSign }, "±"), input, shown];
}

function choices(q) {
  return (q.Choices || []).map((c) => el("div", { class: "choice" },
    button(sentence(c.Text), () => give(c.Answer), { class: !q.Field && "main" }),
    c.Do && el("p", { class: "hint" }, sentence(c.Do) + "."), c.Caution && el("p", { class: "warning" }, "Take care: " + c.Caution + ".")));
}

// several lets more than one be picked.
function several(q) {
  const there = (q.Standing || "").split(q.Field ? ", " : " ");
  return [el("fieldset", {}, el("legend", {}, q.Field ? "Mark all of them" : "Mark what is there"), q.Choices.map((c) =>
    el("label", { class: "box" }, el("input", { type: "checkbox", name: "several", value: c.Answer, checked: there.includes(c.Answer) }), sentence(c.Text)))),
  q.Field ? keep(q) : el("button", { class: "main" }, "I have looked: go on")];
}

// read is the answer that a form holds.
function read(q) {
  if (q.Several) return [...document.querySelectorAll("[name=several]:checked")].map((b) => b.value).join(", ") || (q.Field ? "" : "none");
  if (q.Parts) {
    const fields = [...document.querySelectorAll(".part")];
    const open = q.Parts[fields.findIndex((f) => !f.value.trim())];
    if (open) throw new Error(open.Ask + " is not filled in; type it, or press Skip");
    return fields.map((f) => point(f.value.trim()).replace(/\s+/g, "")).join(" ");
  }
  const text = document.getElementById("answer").value.trim();
  if (!text && picked(q)) throw new Error("nothing is typed; type it, or press the button that says how to go on");
  return q.Field === "number" ? point(text) : text;
}

// give gives an answer, and has it kept before anything else.
async function give(text) {
  if (now.giving) return;
  now.giving = true;
  const fields = [...document.querySelectorAll("#answer, .part")];
  for (const f of fields) f.readOnly = true; // what is typed until the next question stands would be lost
  try {
    const q = now.asked.question;
    if (q && !text && !q.Default) throw new Error(q.Several ? "nothing is marked; mark what is so, or press Skip" : "nothing is typed; type the reading, or press Skip or Not readable where they stand");
    took(await desk.ask({ do: "answer", text }), fields.map((f) => f.value));
    now.last = { step: q?.Step, hold: q?.Hold };
    await readScreen();
  } finally {
    now.giving = false;
    for (const f of fields) f.readOnly = false;
  }
}

// took keeps what an answer made of the sheet, and of what was typed what was refused.
function took(r, typed) {
  if (r.sheet !== now.text) {
    keepText(now.id, now.text, r.sheet);
    now.text = r.sheet;
  }
  Object.assign(now, { said: r.said, refused: r.refused, typed: r.refused && typed, zones: r.zones, holds: r.holds });
}

// ownHold begins a hold that nothing proposed.
function ownHold() {
  const ways = [["", "nothing: another pressure, or once more"]];
  for (const z of now.zones) {
    if (z.kind === "ducts") { ways.push(["sealed|house|" + z.name, "registers of the " + z.name + " covered"]); continue; }
    if (z.kind === "neighbour") ways.push(["guards|" + z.name, "a second fan holds " + z.name + " level with the house"]);
    if (z.fan) ways.push(["fans|" + (now.below ? z.name + "|outside" : "outside|" + z.name), "a second fan in " + z.name + ", its flow read"]);
    ways.push(["opened|house|" + z.name, "opened between house and " + z.name], ["opened|" + z.name + "|outside", "opened between " + z.name + " and outside"]);
  }
  const way = select("way", ways), name = el("input", { id: "holdname", autocomplete: "off" });
  return el("details", { id: "own" }, el("summary", {}, "Another hold"), form(async () => {
    const [how, a, b] = way.value.split("|");
    took(await desk.ask({ do: "begin", begin: { name: name.value, [how || "opened"]: !how ? [] : how === "guards" ? [a] : [[a, b]] } }));
    now.last = null;
    await readScreen();
  }, field("What differs from as found", way), field("Its name", name, "may be left out"), el("button", {}, "Begin it")));
}


// What the readings tell: at once by curvature, then from draws; the report, the order of
// sealing, before and after; and the sheet itself.

// run has the mill work something out, in place of what it works at.
function run(request) {
  if (mill.busy) mill.restart();
  return mill.ask({ sheet: now.text, units: unitsWanted(), ...request });
}

// work works out what is known now, unless that is known already.
async function work() {
  if (!(now.holds > 0) || now.quick?.text === now.text && now.quick.done) return;
  const text = now.text;
  try {
    await look();
    for (const curvature of [true, false]) {
      if (now.text !== text) return;
      const parts = await run({ do: "quick", curvature });
      if (now.text !== text) return;
      now.quick = { text, parts, done: !curvature };
      drawQuick();
    }
  } catch (e) {
    if (e.dropped) return;
    now.quick = { text, fault: e, done: true };
    drawQuick();
  }
}

// look looks for slips, and shows those of the answer just given.
async function look() {
  const text = now.text;
  if (now.looked === text) return;
  const slips = await run({ do: "look" });
  if (now.text !== text) return;
  Object.assign(now, { slips, looked: text });
  document.getElementById("slips")?.replaceChildren(...slipsHere());
}

// drawQuick shows what is known now on the screen of the questions.
function drawQuick() {
  const place = document.getElementById("quick"), k = now.quick;
  if (!place || !k) return;
  place.dataset.done = k.text === now.text && k.done;
  place.replaceChildren(...k.fault ? [fault(k.fault)] : [el("h2", {}, "So far"),
    el("p", { class: "hint" }, k.text !== now.text ? "Before the last answer; with it, it is being worked out …" : k.done ? "From all the readings." : "At first glance; it is being made sure …"),
    ...k.parts.sections.map((s) => section(s.id === "first" ? { ...s, after: [] } : s))]); // slips stand at their answers
}

// wait shows what is worked out meanwhile, and then what came of it.
async function wait(name, request, draw) {
  const place = el("div", { id: "result", role: "status" }, el("p", {}, "Working it out. This can take half a minute on a phone …"));
  document.getElementById("result")?.replaceWith(place);
  try {
    const out = await run(request);
    if (now.screen === name) place.replaceChildren(...draw(out).filter(Boolean));
  } catch (e) {
    if (e.dropped) return;
    if (atFields(e)) place.replaceChildren();
    else place.replaceChildren(fault(e));
  }
}

const record = ["duct-tests", "hand", "openings", "house", "working", "samples", "readings", "priors", "record"];

async function answerScreen() {
  show(el("div", { id: "result" }), el("div", { id: "next" }));
  await wait("answer", { do: "report" }, (parts) => report(parts, record));
  if (now.screen !== "answer") return;
  document.getElementById("next")?.replaceChildren(el("p", {}, button("What to read next", nextPart, { class: "main" })));
}

// nextPart is what to read next, each with a button that opens the hold to fill in.
async function nextPart() {
  const place = document.getElementById("next");
  place.replaceChildren(el("p", { role: "status" }, "Working out what each reading would tell. This can take half a minute on a phone …"));
  const plan = await run({ do: "next" });
  const parts = report(plan.parts);
  place.replaceChildren(...parts, el("section", {}, el("h2", {}, "Make one of them"),
    plan.actions.map((a) => el("p", {}, button(sentence(a.what), async () => {
      took(await desk.ask({ do: "begin", begin: a.hold }));
      now.asked = null;
      now.last = null;
      await turn("read");
    }, { "data-next": true })))));
}

async function sealScreen() {
  const seal = now.seal || { target: "", fraction: "" };
  const target = el("input", { id: "target", autocomplete: "off", value: seal.target });
  const fraction = el("input", { id: "fraction", inputmode: "decimal", autocomplete: "off", value: seal.fraction });
  const go = () => {
    now.seal = { target: target.value.trim(), fraction: point(fraction.value.trim()) };
    atFields({});
    return wait("seal", { do: "seal", ...now.seal }, (parts) => report(parts));
  };
  show(el("details", { open: Boolean(seal.target || seal.fraction) }, el("summary", {}, "Target, and how much of each leak"),
    form(go, field("To reach at 50 Pa", target, "such as 1500 cfm, 2500 m3/h or 5 /h"), field("Share of each leak that is sealed", fraction, "such as 0.8; all of it unless given"),
      el("button", {}, "Work it out"))),
  el("div", { id: "result" }));
  await go();
}

async function sheetScreen() {
  const { answers } = await desk.ask({ do: "ask", later: true });
  if (now.screen !== "sheet") return;
  drawSheet(answers);
  if (!(now.holds > 0) || now.looked === now.text) return;
  await look();
  if (now.screen === "sheet") document.getElementById("answers").replaceWith(answersOf(answers));
}

function drawSheet(answers) {
  show(sending(), answersOf(answers), compareForm(), settings(),
    el("details", {}, el("summary", {}, "The sheet as text"), el("pre", { tabindex: "0" }, now.text)),
    el("details", {}, el("summary", {}, "Delete this visit from the phone"), el("p", {}, "It is gone then, unless the sheet was sent away."),
      button("Delete it", () => { store.remove(now.id); store.setting("last", ""); homeScreen(); })));
}

// answersOf is the list of what was answered, with the slips.
function answersOf(answers) {
  const loose = (now.looked === now.text ? now.slips : []).filter((s) => !s.step && s.level !== "note");
  return el("section", { id: "answers" }, el("h2", {}, "What was answered"), loose.map((s) => slipLine(s)),
    el("ul", { class: "list" }, answers.filter((a) => a.Step !== "further reading").map(answered)));
}

// answered is one answer of the list, with the slips that stand at it.
function answered(a) {
  const what = a.State === "done" ? a.Answer : a.State;
  const asked = sentence(what === "yes" ? a.Step : a.Ask.split(": their")[0]);
  return el("li", {}, el("div", { class: "answer" }, el("span", {}, asked, ": ", el("b", {}, what || "–")),
    button("Change", () => change(a.Step, a.Hold), { "aria-label": "Change: " + asked })),
  now.slips.filter((s) => s.step === a.Step && s.hold === a.Hold).map((s) => slipLine(s)));
}

// sending is how a sheet leaves the phone.
function sending() {
  const said = el("p", { role: "status", class: "hint" });
  const file = () => new File([now.text], fileName(now.text), { type: "text/plain" });
  return el("section", {}, el("h2", {}, "Send the sheet away"), el("div", { class: "row" },
    navigator.canShare?.({ files: [file()] }) && button("Share", () => navigator.share({ files: [file()] }).catch((e) => { if (e.name !== "AbortError") throw e; })),
    button("Download", () => { download(now.text); said.textContent = "Downloaded as " + fileName(now.text) + "."; }),
    button("Copy", async () => { await copy(now.text); said.textContent = "Copied."; })), said,
  el("p", { class: "hint" }, "On a computer: holdbook report " + fileName(now.text)));
}

function download(text) {
  const url = URL.createObjectURL(new Blob([text], { type: "text/plain" }));
  el("a", { href: url, download: fileName(text) }).click();
  setTimeout(() => URL.revokeObjectURL(url), 60000);
}

// copy puts a text where it can be pasted from; the old way where the new one is not to be had.
async function copy(text) {
  try {
    await navigator.clipboard.writeText(text);
  } catch {
    const area = el("textarea", { "aria-label": "the sheet" }, text);
    main.append(area);
    area.select();
    const done = document.execCommand("copy");
    area.remove();
    if (!done) throw new Error("this browser does not let a page copy; download the sheet instead");
  }
}

// compareForm sets this visit, after the work, beside another, before it.
function compareForm() {
  const others = store.visits().filter((v) => v.id !== now.id);
  if (!others.length) return null;
  const other = select("before", others.map((v) => [v.id, called(v.text)])), sealed = el("input", { id: "sealed", autocomplete: "off" });
  return el("details", {}, el("summary", {}, "Before and after"), form(
    () => wait("sheet", { do: "compare", before: store.read(other.value), sealed: sealed.value }, (parts) => report(parts)),
    el("p", {}, "This visit is the one after the work."), field("The visit before it", other),
    field("What was sealed", sealed, "spaces, or pairs such as house-attic, with commas between; may be left out"), el("button", {}, "Compare")),
  el("div", { id: "result" }));
}

function settings() {
  const units = select("units", [["", "as the sheet says"], ["ip", "cfm and square inches"], ["si", "m³/h and cm²"]], unitsWanted());
  units.addEventListener("change", () => { store.setting("units", units.value); now.quick = null; });
  return field("Results in", units);
}


// The page: which visit is open, which screen is shown, and what is done with answers.

const main = document.getElementById("main");
const now = { id: "", text: "", zones: [], said: [], slips: [], asked: null, screen: "read", quick: null };
let desk, mill;

// guarded does something that may fail, and shows how; and that it is being done, where it
// takes longer than a blink.
async function guarded(act) {
  document.getElementById("failed")?.remove();
  const busy = document.getElementById("busy");
  const late = setTimeout(() => { busy.hidden = false; }, 400);
  try {
    await act();
  } catch (e) {
    if (e.dropped) return;
    main.prepend(el("div", { id: "failed" }, fault(e)));
    scrollTo(0, 0);
  } finally {
    clearTimeout(late);
    busy.hidden = true;
  }
}

// show puts a screen in the place of the one before, and the reader at its top.
function show(...inside) {
  main.replaceChildren(...inside.flat(Infinity).filter(Boolean));
  document.getElementById("store").hidden = store.works;
  document.getElementById("home").hidden = !now.id;
  document.getElementById("title").textContent = now.id ? called(now.text) : "holdbook";
  const tabs = document.getElementById("tabs");
  tabs.hidden = !now.id;
  tabs.replaceChildren(...Object.entries(screens).map(([name, s]) =>
    button(s.tab, () => turn(name), { "aria-current": name === now.screen && "page" })));
}

const screens = {
  read: { tab: "Read", open: readScreen },
  answer: { tab: "Answer", open: answerScreen },
  seal: { tab: "Seal", open: sealScreen },
  sheet: { tab: "Sheet", open: sheetScreen },
};

// turn opens another screen of the visit.
async function turn(name) {
  now.screen = name;
  scrollTo(0, 0);
  main.focus({ preventScroll: true });
  await screens[name].open();
}

// openVisit opens a visit that is kept under an id, or a new one.
async function openVisit(id, text) {
  const v = await desk.ask({ do: "open", sheet: text, name: "visit" });
  const isNew = !id;
  if (isNew) {
    id = new Date().toISOString();
    keepText(id, null, text);
  }
  store.setting("last", id);
  Object.assign(now, { id, text, zones: v.zones, below: v.below, holds: v.holds, said: [], last: null, refused: false, typed: null, seal: null, slips: [], looked: null, shown: null, told: {}, asked: null, screen: "read", quick: null });
  await turn(isNew && v.holds > 0 ? "answer" : "read"); // a sheet made elsewhere is opened for its answer
}

// keepText keeps the text of a visit, or says that another window has it.
function keepText(id, was, text) {
  if (!store.write(id, was, text)) {
    throw new Error("this visit was changed in another window; open it again from the list of visits. Not kept: your last answer");
  }
  if (!store.works) offerDownload();
}

// offerDownload stands where the browser keeps nothing.
function offerDownload() {
  const line = document.getElementById("store");
  line.hidden = false;
  line.replaceChildren("This browser keeps nothing for this page: download the sheet after each answer. ",
    button("Download", () => download(now.text)));
}

// unitsWanted is the system that results are shown in; "" for that of the sheet.
const unitsWanted = () => store.setting("units");

function homeScreen() {
  now.id = "";
  store.setting("last", "");
  const visits = store.visits();
  show(
    el("p", {}, "Readings beside the fan: what they tell, what to read next, what to seal first. Nothing leaves this phone."),
    el("p", {}, button("Start a visit", startScreen, { class: "main" })),
    visits.length > 0 && el("section", {}, el("h2", {}, "Visits on this phone"), el("ul", { class: "list" }, visits.map((v) =>
      el("li", {}, button(called(v.text), () => openVisit(v.id, v.text)))))),
    el("section", {}, el("h2", {}, "A sheet made elsewhere"),
      field("Open a file", el("input", { type: "file", id: "file", accept: ".toml,text/plain", onchange: (e) => guarded(async () => openVisit("", await e.target.files[0].text())) })),
      field("Or paste its text", el("textarea", { id: "paste", rows: "4", spellcheck: "false", autocapitalize: "off" })),
      button("Open what is pasted", () => openVisit("", document.getElementById("paste").value))),
    el("section", {}, el("h2", {}, "To look around"),
      button("An invented house", () => openVisit("", document.getElementById("demo").textContent))),
    el("p", { class: "hint" }, "Visits stay in this browser until they are deleted there or its data is cleared: send a sheet away before you leave the house."),
    el("p", { class: "hint" }, "A combustion appliance can spill when a house is held below outdoors. Local code and licensed practice come first."));
}

async function startPage() {
  document.getElementById("home").addEventListener("click", () => guarded(async () => { homeScreen(); main.focus(); }));
  try {
    const module = await unpack();
    const source = document.getElementById("worker").textContent;
    desk = new Engine(source, module);
    mill = new Engine(source, module);
    const last = store.setting("last");
    homeScreen();
    if (!store.works) offerDownload();
    if (last && store.read(last)) await openVisit(last, store.read(last));
  } catch (e) {
    main.replaceChildren(fault(e));
  }
}

startPage();

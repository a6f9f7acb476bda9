
// Elements, and the parts of a report as elements. Texts are only ever put in as text.

function el(tag, attributes, ...inside) {
  const e = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes || {})) {
    if (name.startsWith("on")) e.addEventListener(name.slice(2), value);
    else if (value === true) e.setAttribute(name, "");
    else if (value !== false && value != null) e.setAttribute(name, value);
  }
  e.append(...inside.flat(Infinity).filter((x) => x != null && x !== false));
  return e;
}

const paragraphs = (list, attributes) => (list || []).map((p) => el("p", attributes, p));

// button is one that does something, and says so when that fails.
function button(text, act, attributes) {
  return el("button", { type: "button", ...attributes, onclick: () => guarded(act) }, text);
}

// field is a labelled control with room for what is wrong with it.
function field(label, control, hint) {
  const id = control.id;
  if (hint) control.setAttribute("aria-describedby", id + "-hint");
  return el("div", { class: "field" }, el("label", { for: id }, label), control,
    hint && el("p", { id: id + "-hint", class: "hint" }, hint), el("p", { id: id + "-fault", class: "fault", role: "alert" }));
}

// select is a choice among few, each with its value and its text.
function select(id, options, value) {
  const s = el("select", { id }, options.map(([v, text]) => el("option", { value: v }, text)));
  if (value !== undefined) s.value = value;
  return s;
}

// report shows the parts of a report; those of the names in folded stand behind a line.
function report(parts, folded = []) {
  const front = [], back = [];
  for (const s of parts.sections) (folded.includes(s.id) ? back : front).push(section(s));
  if (back.length) front.push(el("details", {}, el("summary", {}, "More: how it was worked out, and the record"), back));
  return front;
}

function section(s) {
  return el("section", { "data-id": s.id }, s.heading && el("h2", {}, s.heading),
    (s.notices || []).map((n) => el("p", { class: n.level }, n.text)),
    paragraphs(s.lead), (s.drawings || []).map(drawing), s.table && table(s.table, s.heading), paragraphs(s.after, { class: "hint" }),
    s.fill && el("p", {}, s.fill),
    s.block && el("pre", { tabindex: "0" }, s.block));
}

// drawing is a picture that the report has drawn, its texts escaped there. It is read as
// XML, in which nothing runs, and only then put into the page.
function drawing({ svg: text, caption }) {
  const svg = new DOMParser().parseFromString(text.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" '), "image/svg+xml").documentElement;
  if (svg.nodeName !== "svg") return null;
  return el("figure", {}, document.importNode(svg, true), el("figcaption", { class: "hint" }, caption));
}

// table shows one of up to three columns as a table; rows of a wider one as a list each.
function table(t, caption) {
  const text = (c) => [c.value || "–", c.interval && el("span", { class: "ends" }, " " + c.interval)];
  if (!t.heads.some(Boolean)) { // sentences, each with what it is about
    return t.rows.map((row) => el("p", {}, el("b", {}, sentence(row[0].value || "")), " ", row.slice(1).map(text)));
  }
  if (t.heads.length > 3) {
    return el("ul", { class: "rows" }, t.rows.map((row) => el("li", {}, el("b", {}, text(row[0])),
      el("dl", {}, row.map((c, i) => i > 0 && c.value && el("div", {}, el("dt", {}, t.heads[i] || "value"), el("dd", {}, text(c))))))));
  }
  return el("table", {}, el("caption", { class: "heard" }, caption || "Numbers"),
    el("thead", {}, el("tr", {}, t.heads.map((h, i) => el("th", { scope: "col", class: t.right[i] && "right" }, h || "finding")))),
    el("tbody", {}, t.rows.map((row) => el("tr", {}, row.map((c, i) => el(i ? "td" : "th", { scope: i ? null : "row", class: t.right[i] && "right" }, text(c)))))));
}

// fault is what went wrong, with the lines of a sheet that are at fault.
function fault(e) {
  return el("div", { class: "warning", role: "alert" }, el("p", {}, sentence(e.message)),
    e.problems?.length > 0 && el("ul", {}, e.problems.map((p) => el("li", {}, (p.line ? "line " + p.line + ": " : "") + p.text))));
}

function sentence(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

// The page people see, drawn alike in a notebook panel and in the owner's report. Every word and
// number arrives as a finished string: nothing is worded or rounded here, and a string only ever
// becomes text, never markup.

const CONFIG = { displayModeBar: false, responsive: true, typesetMath: false };
const LAYOUT = { autosize: true, dragmode: false, uirevision: "page" };
const MARKS = ["good", "short", "guess"];
const [WORKING_AFTER_MS, PATIENCE_MS, PAPER_WIDTH_PX] = [400, 10000, 660];

function node(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value ?? "");
  made.append(...children.map((child) => child ?? ""));
  return made;
}

function controlOf({ key, label, unit, status, help, min, max, step }, id, words) {
  const labelled = node("label", { for: id, id: `${id}-label` }, label, " ", node("i", {}, unit));
  const readout = node("b", { "data-readout": key });
  const limits = { min, max, step };
  const range = node("input", { type: "range", id, "aria-describedby": `${id}-help`, ...limits });
  const number = node("input", { type: "number", "aria-labelledby": `${id}-label`, ...limits });
  const box = node("div", { class: "sc-control", "data-control": key },
    node("div", {}, labelled, readout), node("div", {}, range, number),
    node("details", {}, node("summary", {}, status, " ", node("u", {}, words.help)),
      node("span", { id: `${id}-help` }, help)));
  return { box, range, number, readout };
}

function figureOf({ id: name, summary_label: label }, id) {
  const [title, summary] = [node("h3"), node("span", { id: `${id}-summary` })];
  const plot = node("div", { class: "sc-plot", role: "img", "aria-labelledby": `${id}-summary` });
  const caption = node("figcaption", {}, node("b", {}, label), " ", summary);
  const box = node("figure", { "data-figure": name }, title, plot, caption);
  return { box, title, plot, summary };
}

function tableOf({ id, title, first }) {
  const grid = node("table", {}, node("caption", {}, title));
  const box = node("div", { class: "sc-table", "data-table": id }, grid);
  return { box, grid, first: Boolean(first), shown: "" };
}

function tableRows({ head, rows, marks, align }) {
  const cell = (tag, text, at, scope, mark) => {
    const side = align?.[at] === "r" ? "sc-right" : "sc-left";
    return node(tag, { class: MARKS.includes(mark) ? `${side} sc-${mark}` : side, ...scope }, text);
  };
  const named = head.map((text, at) => cell("th", text, at, { scope: "col" }));
  const lines = rows.map((row, line) => node("tr", {}, ...row.map((text, at) =>
    cell(at ? "td" : "th", text, at, at ? {} : { scope: "row" }, marks?.[line]?.[at]))));
  return [node("thead", {}, node("tr", {}, ...named)), node("tbody", {}, ...lines)];
}

function skeleton({ words = {}, groups, controls = [], figures = [], tables = [], texts = [] }) {
  const prefix = `sc-${Math.random().toString(36).slice(2)}-`;
  const slots = (all, slot) => new Map(all.map((one) => [one.key ?? one.id, slot(one)]));
  const parts = {
    texts: new Map(texts.map((id, at) => [id, node(at ? "p" : "h2", { "data-text": id })])),
    controls: slots(controls, (control) => controlOf(control, prefix + control.key, words)),
    figures: slots(figures, (figure) => figureOf(figure, prefix + figure.id)),
    tables: slots(tables, tableOf),
    status: node("p", { role: "status", "aria-live": "polite" }),
    buttons: Object.fromEntries(["undo", "put_back", "save"].map((name) => [name,
      node("button", { type: "button", "data-act": name, ...(words[name] ? {} : { hidden: "" }) },
        words[name])])),
  };
  const grouped = (groups ?? [{ keys: controls.map(({ key }) => key) }]).map(({ title, keys }) =>
    node("fieldset", {}, node("legend", {}, title),
      ...keys.flatMap((key) => parts.controls.get(key)?.box ?? [])));
  const buttons = node("div", { class: "sc-buttons" }, ...Object.values(parts.buttons));
  const named = { class: "sc-settings", role: "group", "aria-label": words.settings };
  const settings = node("div", named, buttons, parts.status, ...grouped);
  const boxes = (some) => [...some].map(({ box }) => box);
  const listed = (first) => boxes([...parts.tables.values()].filter((one) => one.first === first));
  const results = node("div", { class: "sc-results" }, ...listed(true),
    node("div", { class: "sc-figures" }, ...boxes(parts.figures.values())), ...listed(false));
  const body = node("div", { class: "sc-body" }, ...(controls.length ? [settings] : []), results);
  const heading = node("div", { class: "sc-head", "aria-live": "polite" }, ...parts.texts.values());
  return { ...parts, page: node("div", { class: "sc-page" }, heading, body) };
}

function paint(answer, parts, Plotly) {
  const each = (name, painted, show) => Object.entries(painted ?? {}).forEach(([id, value]) => {
    if (parts[name].has(id)) show(parts[name].get(id), value);
  });
  each("texts", answer.texts, (slot, text) => { slot.textContent = text ?? ""; });
  each("controls", answer.readouts, ({ readout, range }, text) => {
    readout.textContent = text ?? "";
    range.setAttribute("aria-valuetext", text ?? "");
  });
  each("tables", answer.tables, (slot, table) => {
    const shown = JSON.stringify(table);
    if (slot.shown !== shown) slot.grid.replaceChildren(slot.grid.caption, ...tableRows(table));
    slot.shown = shown;
  });
  each("figures", answer.figures, (slot, { title, summary, data, layout }) => {
    slot.title.textContent = title ?? "";
    slot.summary.textContent = summary ?? "";
    Plotly.react(slot.plot, data, { ...LAYOUT, ...layout }, CONFIG);
  });
}

// At most one question is open; of those that come meanwhile only the newest is kept, so a slow
// kernel never piles up work. An answer older than what is on the page is dropped.
function conversation({ ask, say, show, words }) {
  let newest = 0, painted = -1, open = 0, openSince = 0, next = null, timer = 0;
  const flush = () => {
    if (!next || (open && performance.now() - openSince < PATIENCE_MS)) return;
    const question = { id: ++newest, ...next };
    [next, open, openSince] = [null, question.id, performance.now()];
    clearTimeout(timer);
    timer = setTimeout(() => {
      say(words.working);
      timer = setTimeout(() => say(words.no_answer, true), PATIENCE_MS);
    }, WORKING_AFTER_MS);
    ask(question);
  };
  const put = (values, settled, save = false) => {
    next = { values: { ...values }, settled, save: save || Boolean(next?.save) };
    setTimeout(flush); // input and change of one key press become one question
  };
  const hear = (answer) => {
    if (!(answer?.asked >= painted)) return;
    painted = answer.asked;
    newest = Math.max(newest, painted);
    if (painted >= open) clearTimeout(timer);
    if (painted >= open) open = 0;
    if (!answer.error) show(answer, newest === painted && !next);
    say(answer.error || answer.status || words.ready, Boolean(answer.error));
    flush();
  };
  return { put, hear, heard: () => painted >= 0, end: () => clearTimeout(timer) };
}

export function mount({ el, Plotly, spec, ask, onAnswer }) {
  const parts = skeleton(spec);
  const { page, controls, buttons, status } = parts;
  const start = Object.fromEntries((spec.controls ?? []).map(({ key, value }) => [key, value]));
  let values = {}, settled = { ...start }, onPaper = false;
  const history = [], ending = new AbortController(), { signal } = ending;
  const listen = (target, name, act) => target.addEventListener(name, act, { signal });
  const say = (text, wrong = false) => {
    status.textContent = text ?? "";
    status.classList.toggle("sc-wrong", wrong);
  };
  const set = (wanted) => {
    values = { ...values, ...wanted };
    controls.forEach((one, key) => { one.range.value = one.number.value = values[key]; });
    buttons.undo.setAttribute("aria-disabled", String(!history.length));
  };
  const show = (answer, current) => {
    paint(answer, parts, Plotly);
    if (!current || !answer.values || answer.moving) return;
    set(answer.values);
    settled = { ...values };
  };
  const talk = conversation({ ask, say, show, words: spec.words ?? {} });
  const settle = (wanted, remember = true) => {
    if (remember && Object.keys(settled).some((key) => wanted[key] !== settled[key])) {
      history.push(settled);
    }
    settled = { ...wanted };
    set(wanted);
    talk.put(values, true);
  };
  for (const [key, { range, number }] of controls) {
    let held = false; // while an arrow key is held down the value is still moving
    const release = () => { if (held) settle(values); held = false; };
    listen(range, "input", () => { set({ [key]: range.valueAsNumber }); talk.put(values, false); });
    listen(range, "change", () => { if (!held) settle(values); });
    listen(range, "keydown", (event) => { held = event.repeat; });
    for (const end of ["keyup", "blur"]) listen(range, end, release);
    listen(number, "change", () => settle(
      { ...values, [key]: number.value === "" ? values[key] : number.valueAsNumber }));
  }
  listen(buttons.undo, "click", () => { if (history.length) settle(history.pop(), false); });
  listen(buttons.put_back, "click", () => settle({ ...values, ...start }));
  listen(buttons.save, "click", () => talk.put(values, true, true));
  // A notebook's own shortcuts would take the arrow keys off the sliders.
  listen(page, "keydown", (event) => event.ctrlKey || event.metaKey || event.stopPropagation());

  const plots = [...parts.figures.values()].map(({ plot }) => plot);
  const drawn = () => plots.filter((plot) => plot.data && plot.clientWidth);
  const fit = (paper) => {
    onPaper = paper;
    drawn().forEach((plot) => Plotly.relayout(plot, paper
      ? { width: PAPER_WIDTH_PX, height: plot.clientHeight, autosize: false }
      : { width: null, height: null, autosize: true }));
  };
  listen(window, "beforeprint", () => fit(true));
  listen(window, "afterprint", () => fit(false));
  const watch = new ResizeObserver(() => { if (!onPaper) drawn().forEach(Plotly.Plots.resize); });
  el.append(page);
  watch.observe(page);
  set(start);
  const stopHearing = onAnswer(talk.hear);
  if (!talk.heard()) talk.put(values, true);
  return () => {
    stopHearing?.();
    talk.end();
    ending.abort();
    watch.disconnect();
    plots.forEach((plot) => Plotly.purge(plot));
    page.remove();
  };
}

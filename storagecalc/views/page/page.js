// The page people see, drawn alike in a notebook panel and in the owner's report. Every word and
// number arrives as a finished string: nothing is worded or rounded here, and a string only ever
// becomes text, never markup.

const CONFIG = { displayModeBar: false, typesetMath: false };
const LAYOUT = { height: 280, dragmode: false, uirevision: "page" };
const AXIS = { fixedrange: true, ticklabeloverflow: "allow" }; // spares work in every repaint
const AT_ONCE = { mode: "immediate", transition: { duration: 0 },
  frame: { duration: 0, redraw: false } };
const MARKS = ["good", "short", "guess"];
const [KEYS_SETTLE_AFTER_MS, WORKING_AFTER_MS, PATIENCE_MS] = [300, 400, 10000];
const PAPER_WIDTH_PX = 660;

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
  return { box, title, plot, summary, shown: "" };
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

// Where the table keeps its shape only the cells that changed are put in, which spares the browser
// most of the work of laying it out.
function fill(grid, table) {
  if (table.title) grid.caption.textContent = table.title;
  const made = tableRows(table), rows = made.flatMap((part) => [...part.rows]);
  const alike = rows.length === grid.rows.length
    && rows.every(({ cells }, at) => cells.length === grid.rows[at].cells.length);
  if (!alike) return grid.replaceChildren(grid.caption, ...made);
  rows.forEach(({ cells }, at) => [...cells].forEach((cell, place) => {
    const shown = grid.rows[at].cells[place];
    if (!shown.isEqualNode(cell)) shown.replaceWith(cell);
  }));
}

function skeleton({ words = {}, groups, controls = [], figures = [], tables = [], texts = [] }) {
  const prefix = `sc-${Math.random().toString(36).slice(2)}-`;
  const slots = (all, slot) => new Map(all.map((one, at) => [one.key ?? one.id, slot(one, at)]));
  const parts = {
    texts: new Map(texts.map((id, at) => [id, node(at ? "p" : "h2", { "data-text": id })])),
    controls: slots(controls, (control, at) => controlOf(control, `${prefix}c${at}`, words)),
    figures: slots(figures, (figure, at) => figureOf(figure, `${prefix}f${at}`)),
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
  const boxes = (some) => [...some.values()].map(({ box }) => box);
  const listed = (first) => boxes([...parts.tables.values()].filter((one) => one.first === first));
  const [headline, ...notes] = parts.texts.values();
  const results = node("div", { class: "sc-results" }, ...listed(true),
    node("div", { class: "sc-figures" }, ...boxes(parts.figures)),
    node("div", { class: "sc-notes" }, ...notes), ...listed(false));
  const body = node("div", { class: "sc-body" }, ...(controls.length ? [settings] : []), results);
  const heading = node("div", { class: "sc-head", "aria-live": "polite" }, headline);
  return { ...parts, page: node("div", { class: "sc-page" }, heading, body) };
}

// While a slider moves only the lines move, which takes a third of the time and leaves the eye the
// axes to go by. Where a line would leave the picture all of it is drawn anew.
function fits(data, { data: drawn, layout }) {
  const { range: [low, high] = [], type } = layout?.yaxis ?? {};
  const height = type === "log" ? Math.log10 : Number;
  const inside = (y) => low <= height(y) && height(y) <= high;
  return drawn?.length === data.length && data.every(({ name, y }, at) =>
    name === drawn[at].name && y.length === drawn[at].y.length && y.every(inside));
}

function glide(data, plot, Plotly) {
  const overtaken = () => {};
  Plotly.animate(plot, { data, traces: [...data.keys()] }, AT_ONCE).catch(overtaken);
}

function paint(answer, parts, Plotly) {
  const each = (name, painted, show) => Object.entries(painted ?? {}).forEach(([id, value]) => {
    if (parts[name].has(id)) show(parts[name].get(id), value);
  });
  const changed = (slot, value) => slot.shown !== (slot.shown = JSON.stringify(value));
  each("texts", answer.texts, (slot, text) => { slot.textContent = text; });
  each("controls", answer.readouts, ({ readout, range }, text) => {
    readout.textContent = range.ariaValueText = text;
  });
  each("tables", answer.tables, (slot, table) => {
    if (changed(slot, table)) fill(slot.grid, table);
  });
  each("figures", answer.figures, (slot, figure) => {
    if (!changed(slot, figure)) return;
    const { title = "", summary = "", data, layout } = figure, axes = {};
    [slot.title.textContent, slot.summary.textContent] = [title, summary];
    if (answer.moving && fits(data, slot.plot)) return glide(data, slot.plot, Plotly);
    for (const name of ["xaxis", "yaxis"]) axes[name] = { ...AXIS, ...layout?.[name] };
    const width = slot.plot.clientWidth || undefined;
    Plotly.react(slot.plot, data, { ...LAYOUT, ...layout, ...axes, width }, CONFIG);
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
    flush();
  };
  const hear = (answer) => {
    if (!(answer?.asked >= painted)) return;
    painted = answer.asked;
    newest = Math.max(newest, painted);
    if (painted >= open) open = clearTimeout(timer) ?? 0;
    if (!answer.error) show(answer, newest === painted && !next);
    say(answer.error || answer.status || words.ready, Boolean(answer.error));
    flush();
  };
  return { put, hear, heard: () => painted >= 0 };
}

export function mount({ el, Plotly, spec, ask, onAnswer }) {
  const parts = skeleton(spec);
  const { page, controls, buttons, status } = parts;
  const start = Object.fromEntries((spec.controls ?? []).map(({ key, value }) => [key, value]));
  let values = {}, settled = { ...start }, paperPx = 0, settleAfterMs = 0, pause = 0;
  const history = [], ending = new AbortController(), { signal } = ending;
  const listen = (target, name, act) => target.addEventListener(name, act, { signal });
  const say = (text, wrong = false) => {
    status.replaceChildren(text ?? "");
    status.className = wrong ? "sc-wrong" : "";
  };
  const moved = () => Object.keys(settled).some((key) => values[key] !== settled[key]);
  const set = (wanted) => {
    clearTimeout(pause);
    values = { ...values, ...wanted };
    controls.forEach((one, key) => { one.range.value = one.number.value = values[key]; });
    buttons.undo.setAttribute("aria-disabled", String(!history.length && !moved()));
  };
  const show = (answer, current) => {
    paint(answer, parts, Plotly);
    if (!current || !answer.values || answer.moving) return;
    set(answer.values);
    settled = { ...values };
  };
  const talk = conversation({ ask, say, show, words: spec.words ?? {} });
  const settle = (wanted, remember = true) => {
    set(wanted);
    if (remember && moved()) history.push(settled);
    settled = { ...values };
    set({});
    talk.put(values, true);
  };
  for (const [key, { range, number }] of controls) {
    listen(range, "input", () => { set({ [key]: range.valueAsNumber }); talk.put(values, false); });
    // A key settles when no other follows it at once; a finger or mouse when it lets go.
    listen(range, "keydown", () => { settleAfterMs = KEYS_SETTLE_AFTER_MS; });
    listen(range, "pointerdown", () => { settleAfterMs = 0; });
    listen(range, "change", () => { pause = setTimeout(() => settle(values), settleAfterMs); });
    const typed = () => (number.value === "" ? {} : { [key]: number.valueAsNumber });
    listen(number, "change", () => settle(typed()));
  }
  listen(buttons.undo, "click", () => settle((moved() ? settled : history.pop()) ?? {}, false));
  listen(buttons.put_back, "click", () => settle(start));
  listen(buttons.save, "click", () => talk.put(values, true, true));
  // A notebook's own shortcuts would take the arrow keys off the sliders.
  listen(page, "keydown", (event) => event.ctrlKey || event.metaKey || event.stopPropagation());
  const plots = [...parts.figures.values()].map(({ plot }) => plot);
  const fit = () => plots.forEach((plot) => {
    const width = paperPx || plot.clientWidth;
    if (plot.data && width && width !== plot.layout.width) Plotly.relayout(plot, { width });
  });
  listen(window, "beforeprint", () => fit(paperPx = PAPER_WIDTH_PX));
  listen(window, "afterprint", () => fit(paperPx = 0));
  const watch = new ResizeObserver(fit);
  el.append(page);
  watch.observe(page);
  set(start);
  const stopHearing = onAnswer(talk.hear);
  if (!talk.heard()) talk.put(values, true);
  return () => {
    stopHearing?.();
    clearTimeout(pause);
    ending.abort();
    watch.disconnect();
    plots.forEach((plot) => Plotly.purge(plot));
    page.remove();
  };
}

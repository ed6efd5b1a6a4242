// The page people see, drawn alike in a notebook panel and in the owner's report. Every word and
// number arrives as a finished string: nothing is worded or rounded here.

const CONFIG = { displayModeBar: false, typesetMath: false };
const LAYOUT = { height: 280, dragmode: false, uirevision: "page" };
const AXIS = { fixedrange: true, ticklabeloverflow: "allow" }; // spares work in every repaint
const AT_ONCE = { mode: "immediate", transition: { duration: 0 },
  frame: { duration: 0, redraw: false } };
const [KEYS_SETTLE_AFTER_MS, WORKING_AFTER_MS, PATIENCE_MS] = [300, 400, 10000];
const [PAPER_WIDTH_PX, WIDTH_WORTH_A_QUESTION_PX] = [660, 40];
const STOPS_BY_KEY = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1,
  PageUp: 5, PageDown: -5, Home: -Infinity, End: Infinity };

function controlIn(box, { min, max, step, places }) {
  const [range, number, fault] = ["[type=range]", "[inputmode]", "[role=alert]"].map((place) =>
    box.querySelector(place));
  const count = Math.round((max - min) / step);
  const stops = places ?? Array.from({ length: count + 1 }, (_, at) =>
    Number((min + (at * (max - min)) / count).toPrecision(10)));
  Object.assign(range, { min, max, step: "any" });
  const place = (value) => {
    const far = stops.map((stop) => Math.abs(stop - value));
    return far.indexOf(Math.min(...far));
  };
  const moved = (by, value) => stops[Math.max(0, Math.min(stops.length - 1, place(value) + by))];
  return { range, number, fault, moved, nearest: (value) => stops[place(value)] };
}

function mark({ number, fault }, words = "") {
  number.setAttribute("aria-invalid", String(Boolean(words)));
  fault.textContent = words;
}

// "4,5" is four and a half wherever it is typed; what has three digits after its only sign may be
// a thousand or a decimal, so it is nothing.
function read(text) {
  const plain = text.replace(/\s/g, "").replace("\u2212", "-");
  if (!/^-?\d*[.,]?\d+$/.test(plain) || /^-?[1-9]\d{0,2}[.,]\d{3}$/.test(plain)) return NaN;
  return Number(plain.replace(",", "."));
}

function skeleton(spec) {
  const page = grown(spec.page);
  const named = (attribute, slot) => new Map([...page.querySelectorAll(`[${attribute}]`)]
    .map((found) => [found.getAttribute(attribute), slot(found)]));
  const controls = new Map((spec.controls ?? []).map((control) =>
    [control.key, control]));
  return {
    page,
    parts: named("data-part", (holder) => ({ holder, trees: [] })),
    figures: named("data-figure", (box) => ({ shown: "", plot: box.querySelector(".sc-plot"),
      title: box.querySelector("h3"), summary: box.querySelector("[data-summary]") })),
    readouts: named("data-readout", (holder) => holder),
    controls: named("data-control", (box) => controlIn(box, controls.get(box.dataset.control))),
    status: page.querySelector("[role=status]"),
    buttons: Object.fromEntries(["undo", "put_back", "save"].map((act) =>
      [act, page.querySelector(`[data-act=${act}]`)])),
  };
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

function paint(answer, { parts, figures, readouts, controls }, Plotly) {
  const each = (slots, painted, show) => Object.entries(painted ?? {}).forEach(([id, value]) => {
    if (slots.has(id)) show(slots.get(id), value, id);
  });
  each(parts, answer.parts, (slot, trees) => {
    renewed(slot.holder, slot.trees, trees);
    slot.trees = trees;
  });
  each(readouts, answer.readouts, (slot, text, key) => {
    slot.textContent = controls.get(key).range.ariaValueText = text;
  });
  each(figures, answer.figures, (slot, figure) => {
    if (slot.shown === (slot.shown = JSON.stringify(figure))) return;
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
function conversation({ ask, say, show, refuse, words }) {
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
  const put = (values, settled, width, save = false) => {
    next = { values: { ...values }, settled, width, save: save || Boolean(next?.save) };
    flush();
  };
  const hear = (answer) => {
    if (!(answer?.asked >= painted)) return;
    painted = answer.asked;
    newest = Math.max(newest, painted);
    if (painted >= open) open = clearTimeout(timer) ?? 0;
    if (!answer.error) show(answer, newest === painted && !next);
    refuse(answer.faults);
    say(answer.faults ? "" : answer.error || answer.status || words.ready, Boolean(answer.error));
    flush();
  };
  return { put, hear, heard: () => painted >= 0 };
}

export function mount({ el, Plotly, spec, ask, onAnswer }) {
  const parts = skeleton(spec);
  const { page, controls, buttons, status, figures } = parts;
  const { words = {} } = spec;
  const start = Object.fromEntries((spec.controls ?? []).map(({ key, value }) => [key, value]));
  let values = {}, good = { ...start }, back = false, paperPx = 0, pause = 0;
  let widthPx = spec.drawn_for_px;
  const history = [], ending = new AbortController(), { signal } = ending;
  const listen = (target, name, act) => target?.addEventListener(name, act, { signal });
  const say = (text, wrongly = false) => {
    if (!status) return;
    status.replaceChildren(text ?? "");
    status.className = wrongly ? "sc-wrong" : "";
  };
  const differ = (one, other) => Object.keys(one).some((key) => one[key] !== other[key]);
  const set = (wanted) => {
    clearTimeout(pause);
    values = { ...values, ...wanted };
    controls.forEach(({ range, number, typing }, key) => {
      range.value = values[key];
      // What is being typed stays, and what is wrong until it is put right or taken back.
      if (!typing && number.ariaInvalid !== "true") number.value = values[key];
    });
    buttons.undo?.setAttribute("aria-disabled", String(!history.length && !differ(good, values)));
  };
  const show = (answer, current) => {
    paint(answer, parts, Plotly);
    if (!current || !answer.values || answer.moving) return;
    if (differ(good, answer.values) && !back) history.push(good);
    [good, back] = [{ ...answer.values }, false];
    set(answer.values);
  };
  const refuse = (faults) => Object.entries(faults ?? {}).forEach(([key, told]) => {
    if (controls.has(key)) mark(controls.get(key), told);
  });
  const talk = conversation({ ask, say, show, refuse, words });
  const put = (settled, save = false) => talk.put(values, settled, page.clientWidth, save);
  const settle = (wanted, goesBack = false) => {
    Object.keys(wanted).forEach((key) => mark(controls.get(key)));
    back = goesBack;
    set(wanted);
    put(true);
  };
  const slide = (key, value) => {
    mark(controls.get(key));
    set({ [key]: value });
    put(false);
  };
  for (const [key, one] of controls) {
    const { range, number } = one;
    listen(range, "input", () => slide(key, one.nearest(range.valueAsNumber)));
    // A key settles when no other follows it at once; a finger or mouse when it lets go.
    listen(range, "keydown", (event) => {
      if (!(event.key in STOPS_BY_KEY) || event.ctrlKey || event.metaKey) return;
      event.preventDefault();
      slide(key, one.moved(STOPS_BY_KEY[event.key], values[key]));
      pause = setTimeout(() => settle({ [key]: values[key] }), KEYS_SETTLE_AFTER_MS);
    });
    listen(range, "change", () => settle({ [key]: values[key] }));
    listen(number, "input", () => { one.typing = true; });
    listen(number, "change", () => {
      one.typing = false;
      if (number.value.trim() === "") return settle({ [key]: values[key] });
      const typed = read(number.value);
      if (Number.isNaN(typed)) return mark(one, number.dataset.wrong);
      settle({ [key]: typed });
    });
  }
  listen(buttons.undo, "click", () =>
    settle(differ(good, values) ? good : history.pop() ?? good, true));
  listen(buttons.put_back, "click", () => settle(start));
  listen(buttons.save, "click", () => put(true, true));
  // A notebook's own shortcuts would take the arrow keys off the sliders.
  listen(page, "keydown", (event) => event.ctrlKey || event.metaKey || event.stopPropagation());
  const plots = [...figures.values()].map(({ plot }) => plot);
  const fit = () => {
    plots.forEach((plot) => {
      const width = paperPx || plot.clientWidth;
      if (plot.data && width && width !== plot.layout.width) Plotly.relayout(plot, { width });
    });
    const room = page.clientWidth;
    if (!widthPx || !room || Math.abs(room - widthPx) <= WIDTH_WORTH_A_QUESTION_PX) return;
    widthPx = room;
    put(true);
  };
  listen(window, "beforeprint", () => fit(paperPx = PAPER_WIDTH_PX));
  listen(window, "afterprint", () => fit(paperPx = 0));
  const watch = new ResizeObserver(fit);
  el.replaceChildren(page);
  watch.observe(page);
  set(start);
  const stopHearing = onAnswer(talk.hear);
  if (!talk.heard()) put(true);
  return () => {
    stopHearing?.();
    clearTimeout(pause);
    ending.abort();
    watch.disconnect();
    plots.forEach((plot) => Plotly.purge(plot));
    page.remove();
  };
}

// The answers of a grid of positions, as grid.py packs them, unpacked one at a time, so that the
// report's controls work without a kernel.

function codes(text, count) {
  const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  return count <= 256 ? bytes : new Uint16Array(bytes.buffer);
}

function unpacked(part, at) {
  if (Array.isArray(part)) return part.map((inner) => unpacked(inner, at));
  if (part === null || typeof part !== "object") return part;
  const each = ([key, inner]) => [key, unpacked(inner, at)];
  if (!("~of" in part)) return Object.fromEntries(Object.entries(part).map(each));
  part.row ??= codes(part["~of"], part.count);
  if (part.choices) return structuredClone(part.choices[part.row[at]]);
  part.steps ??= codes(part.series, Infinity);
  const { low, quantum, length } = part, first = part.row[at] * length;
  return Array.from(part.steps.subarray(first, first + length), (step) =>
    step === 65535 ? null : low + step * quantum);
}

// A question between positions gets the nearest one; the answer says which values that was.
export function gridHost({ axes, answers }) {
  let tell;
  const ask = ({ id, values: wanted, settled }) => {
    let at = 0, values = {};
    for (const { key, values: places } of axes) {
      const distances = places.map((place) => Math.abs(place - wanted[key]));
      const nearest = distances.indexOf(Math.min(...distances));
      at = at * places.length + nearest;
      values[key] = places[nearest];
    }
    tell({ ...unpacked(answers, at), asked: id, error: null, values, moving: !settled });
  };
  return { ask, onAnswer: (callback) => { tell = callback; } };
}

export function mountGrids(Plotly) {
  for (const el of document.querySelectorAll("[data-storagecalc-page]")) {
    const { spec, grid } = JSON.parse(el.querySelector("script").textContent);
    mount({ el, Plotly, spec, ...gridHost(grid) });
  }
}

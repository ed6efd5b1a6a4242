"""What some people cannot do without: names, room to hit, keyboard reach, contrast."""

# Names as a screen reader hears them, near enough for our few kinds of controls.
NAMELESS = """(root) => {
  const shown = (e) => e.checkVisibility({ visibilityProperty: true });
  const words = (id) => document.getElementById(id)?.textContent.trim() ?? "";
  const name = (e) => e.ariaLabel || (e.getAttribute("aria-labelledby") ?? "").split(" ")
    .map(words).join(" ").trim() || [...(e.labels ?? [])].map((l) => l.textContent).join(" ").trim()
    || e.getAttribute("alt") || (e.matches("input, svg") ? "" : e.textContent.trim())
    || e.querySelector?.(":scope > title")?.textContent;
  const wanted = "input, button, summary, a, svg, img, [role=img], [role=group], [tabindex]";
  return [...document.querySelector(root).querySelectorAll(wanted)]
    .filter((e) => shown(e)
      && !(name(e) && (!e.matches("svg") || e.getAttribute("role") === "img")))
    .map((e) => e.outerHTML.slice(0, 120));
}"""

# At least 24 px high and wide, or a circle of 24 px about its middle touches no other's.
CROWDED = """(root) => {
  const found = [...document.querySelector(root)
    .querySelectorAll("input, button, summary, a[href]")].filter((e) => e.checkVisibility());
  const boxes = found.map((e) => e.getBoundingClientRect());
  const middle = (box) => [box.x + box.width / 2, box.y + box.height / 2];
  const gap = ([x, y], box) => Math.hypot(Math.max(box.left - x, 0, x - box.right),
    Math.max(box.top - y, 0, y - box.bottom));
  return found.filter((e, at) => {
    const box = boxes[at];
    if (box.width >= 24 && box.height >= 24) return false;
    return boxes.some((other, place) => place !== at && gap(middle(box), other) < 12);
  }).map((e) => e.outerHTML.slice(0, 120));
}"""

UNREACHABLE = """(root) => [...document.querySelector(root).querySelectorAll("*")]
  .filter((e) => e.checkVisibility() && /auto|scroll/.test(getComputedStyle(e).overflowX
    + getComputedStyle(e).overflowY) && e.tabIndex < 0
    && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1))
  .map((e) => e.outerHTML.slice(0, 120))"""

# Every visible text against the nearest colour behind it; a hatched ground counts as its stripes.
CONTRAST = """(root) => {
  const parts = (colour) => (colour.match(/[\\d.]+/g) ?? [0, 0, 0, 0]).map(Number);
  const linear = (c) => (c /= 255) <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  const light = ([r, g, b]) => 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
  const behind = (e) => {
    for (let at = e; at; at = at.parentElement) {
      const [r, g, b, a = 1] = parts(getComputedStyle(at).backgroundColor);
      if (a > 0.5) return [r, g, b];
    }
    return [255, 255, 255];
  };
  const faults = new Set();
  const walk = document.createTreeWalker(document.querySelector(root), NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const e = walk.currentNode.parentElement;
    if (!walk.currentNode.data.trim() || !e.checkVisibility()) continue;
    if (e.closest("script, style, [aria-disabled=true], .sc-unseen")) continue;
    const style = getComputedStyle(e), inSvg = e.namespaceURI.endsWith("svg");
    const ink = parts(inSvg ? style.fill : style.color).slice(0, 3);
    const [one, other] = [light(ink), light(behind(e))].sort((a, b) => b - a);
    const ratio = (one + 0.05) / (other + 0.05);
    if (ratio < 4.5) faults.add(`${ratio.toFixed(2)} ${e.className?.baseVal ?? e.className}: `
      + walk.currentNode.data.trim().slice(0, 40));
  }
  return [...faults];
}"""


def nameless(page, root):
    """Controls, pictures and regions that no one could be told the name of."""
    return page.evaluate(NAMELESS, root)


def crowded_targets(page, root):
    """What is too small to hit and too near to something else."""
    return page.evaluate(CROWDED, root)


def unreachable_regions(page, root):
    """What scrolls and cannot be reached by the keyboard."""
    return page.evaluate(UNREACHABLE, root)


def contrast_faults(page, root):
    """Texts with less than 4.5 to 1 against what is behind them."""
    return page.evaluate(CONTRAST, root)

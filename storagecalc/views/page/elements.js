// Elements of the page from trees, as nodes.py makes them: [name, attributes, children]. A string in
// a tree only ever becomes text, never markup.

const SVG = "http://www.w3.org/2000/svg";

function grown(tree, space) {
  if (!Array.isArray(tree)) return document.createTextNode(tree);
  const [name, attributes, children] = tree;
  const within = name === "svg" ? SVG : space;
  const made = within ? document.createElementNS(within, name) : document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children.map((child) => grown(child, within)));
  return made;
}

// Brings what an element holds from one list of trees to another. Only what differs is touched,
// which spares the browser most of the work of laying it out.
function renewed(holder, was, now) {
  const shown = [...holder.childNodes], kept = Math.min(was.length, now.length);
  const space = holder.namespaceURI === SVG ? SVG : undefined;
  for (let at = 0; at < kept; at += 1) {
    const [old, tree] = [was[at], now[at]], alike = Array.isArray(old) && old[0] === tree[0];
    if (!Array.isArray(old) && !Array.isArray(tree)) {
      if (old !== tree) shown[at].data = tree;
    } else if (!alike) {
      shown[at].replaceWith(grown(tree, space));
    } else {
      for (const key of Object.keys(old[1])) if (!(key in tree[1])) shown[at].removeAttribute(key);
      for (const [key, value] of Object.entries(tree[1])) {
        if (old[1][key] !== value) shown[at].setAttribute(key, value);
      }
      renewed(shown[at], old[2], tree[2]);
    }
  }
  shown.slice(kept).forEach((left) => left.remove());
  holder.append(...now.slice(kept).map((tree) => grown(tree, space)));
}

// Elements by name, attributes and children; texts are always texts, never markup.
const SVG = new Set(["svg", "g", "path", "circle", "line", "rect", "text", "image", "polyline", "title", "pattern", "defs"]);

export function make(name, about = {}, ...children) {
  const [kind, ...classes] = name.split(".");
  const element = SVG.has(kind) ? document.createElementNS("http://www.w3.org/2000/svg", kind) : document.createElement(kind);
  if (classes.length) element.setAttribute("class", classes.join(" "));
  for (const [key, value] of Object.entries(about)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else if (key === "value") element.value = value;
    else if (value === true) element.setAttribute(key, "");
    else element.setAttribute(key, value);
  }
  element.append(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  return element;
}

export function fill(element, ...children) {
  element.replaceChildren(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  return element;
}

export function button(says, press, about = {}) {
  return make("button", { type: "button", onclick: press, ...about }, says);
}

let silence = 0;
export function tell(text, wrong = false) {
  const place = document.getElementById("told");
  place.textContent = text;
  place.className = wrong ? "wrong" : "";
  clearTimeout(silence);
  if (text && !wrong) silence = setTimeout(() => { place.textContent = ""; }, 8000);
}

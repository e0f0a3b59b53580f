// Where one begins: how long, how wide, of what, cut with what, held how; or a folder that is there.
import { button, fill, make, tell } from "./dom.js";
import { get, post } from "./ask.js";
import * as units from "./units.js";
import { attempt, go, refresh } from "./page.js";

const SIZES = [["length", "Most length", "along the grain; boards come a little under it"], ["width", "Most width", "across it"], ["thickness", "Thickness", "finished"], ["cutter", "Cutter", "diameter"], ["round_over", "Round-over", "radius, both faces"], ["guide_bearing", "Its guide bearing", "diameter"]];

// A board of no form in particular in a box, with a neck or without: it only says how large boards may be.
function form_of(l, w, neck) {
  const b = neck ? l - 140 : l, m = 0.52 * w, h = neck ? 19 : 0;
  if (!neck) return `M0 ${m}C0 ${0.2 * w} ${0.12 * l} 0 ${0.36 * l} 0C${0.68 * l} 0 ${l} ${0.2 * w} ${l} ${0.62 * w}C${l} ${0.86 * w} ${0.88 * l} ${w} ${0.66 * l} ${w}C${0.3 * l} ${w} 0 ${0.86 * w} 0 ${m}z`;
  return `M0 ${m}C0 ${0.18 * w} ${0.1 * b} 0 ${0.4 * b} 0C${0.72 * b} 0 ${0.86 * b} ${m - h} ${b + 30} ${m - h}L${l - h} ${m - h}C${l + h * 0.34} ${m - h} ${l + h * 0.34} ${m + h} ${l - h} ${m + h}L${b + 40} ${m + h}C${0.9 * b} ${m + h} ${0.86 * b} ${w} ${0.5 * b} ${w}C${0.16 * b} ${w} 0 ${0.86 * w} 0 ${m}z`;
}

export async function brief(page) {
  const start = page.start;
  let from = start.given || page.folder !== null ? "" : "carry-boards";
  const own = page.folder !== null ? (await get("brief", { folder: page.folder })).brief : start.brief;
  let table = { ...(start.presets[from] || own) };
  const form = make("form.brief", { onsubmit: (event) => { event.preventDefault(); draw(); } });
  const sketch = make("svg.sketch", { role: "img", "aria-label": "The largest board, beside a plate of 260 mm" });
  const inputs = {};

  function field(name, says, hint) {
    const input = make("input", { id: `b-${name}`, inputmode: "text", value: units.figure(table[name], 2), oninput: () => { const v = units.read(input.value); input.setAttribute("aria-invalid", String(Number.isNaN(v))); if (!Number.isNaN(v)) { table[name] = v; outline(); } } });
    inputs[name] = input;
    return make("p.field", {}, make("label", { for: `b-${name}` }, says, make("small", {}, ` ${hint}, ${units.used()}`)), input);
  }

  function outline() {
    const long = Math.min(Math.max(table.length || 0, 50), 1500), wide = Math.min(Math.max(table.width || 0, 50), 800);
    sketch.setAttribute("viewBox", `-10 -10 ${long + 320} ${Math.max(wide, 260) + 60}`);
    const hold = (table.handles || []).some((h) => h.startsWith("neck"));
    fill(sketch,
      make("path.board", { d: form_of(long, wide, hold) }),
      make("rect.box", { x: 0, y: 0, width: long, height: wide }),
      make("circle.plate", { cx: long + 165, cy: Math.max(wide, 260) / 2, r: 130 }),
      make("text", { x: long / 2, y: wide + 34, "text-anchor": "middle" }, `${units.length(long)} x ${units.length(wide)}`),
      make("text", { x: long + 165, y: Math.max(wide, 260) / 2, "text-anchor": "middle" }, "plate"),
    );
  }

  function choose(name) {
    from = name;
    table = { ...start.presets[name] };
    layOut();
  }

  function handles() {
    const asked = new Set(table.handles || []);
    return make("fieldset.handles", {}, make("legend", {}, "Held by ", make("small", {}, "(none chosen: whatever fits)")),
      Object.entries(start.handles).map(([name, about]) => make("label", { title: about.says },
        make("input", { type: "checkbox", checked: asked.has(name), onchange: (event) => { if (event.target.checked) asked.add(name); else asked.delete(name); table.handles = [...asked]; outline(); } }), about.called)));
  }

  function select(name, label, options, value, change) {
    return make("p.field", {}, make("label", { for: `b-${name}` }, label),
      make("select", { id: `b-${name}`, onchange: (event) => change(event.target.value) }, options.map(([v, says]) => make("option", { value: v, selected: v === value }, says))));
  }

  let wood = start.piece, name = "";
  async function draw() {
    const bad = Object.entries(inputs).find(([, input]) => input.getAttribute("aria-invalid") === "true");
    if (bad) { bad[1].focus(); tell(`${bad[0].replace("_", " ")}: write a number, as ${units.used() === "in" ? "16 1/2" : "420"}`, true); return; }
    const made = await attempt(() => post("generate", { brief: { ...table, unit: units.used() }, name: name || table.title, ...(wood ? { piece: wood, sized: true } : {}) }), "Drawing boards and checking each: some seconds");
    if (made) { page.folder = made.folder; page.draft = null; page.start.folders.push({ folder: made.folder, title: made.folder }); go("wall"); refresh(); }
  }

  function layOut() {
    const kg = make("input", { id: "b-mass", value: (units.used() === "in" ? table.max_mass / 0.45359237 : table.max_mass).toFixed(2), oninput: () => { const v = units.readMass(kg.value); kg.setAttribute("aria-invalid", String(Number.isNaN(v))); if (!Number.isNaN(v)) table.max_mass = v; } });
    inputs.max_mass = kg;
    fill(form,
      make("h1", {}, "What is it to be?"),
      make("div.columns", {},
        make("div", {},
          select("preset", "Begin from", [["", page.folder !== null ? "the brief of these boards" : start.given ? "the brief that was opened" : "these figures"], ...Object.entries(start.presets).map(([n, t]) => [n, t.title])], from, (v) => v && choose(v)),
          select("piece", "Cut from", [["", "any timber of this kind"], ...start.pieces.map((p) => [p, p.replace(/\.toml$/, "")])], wood, (v) => { wood = v; layOut(); }),
          wood ? make("p.hint", {}, "Timber and thickness are then the piece's own; boards follow its outline and dodge its defects.") : select("species", "Timber", start.species.map((s) => [s, s]), table.species, (v) => { table.species = v; }),
          make("div.fields", {}, SIZES.map(([n, says, hint]) => field(n, says, hint)), make("p.field", {}, make("label", { for: "b-mass" }, "Most weight", make("small", {}, units.used() === "in" ? " lb" : " kg")), kg)),
          handles(),
          make("p.field", {}, make("label", { for: "b-count" }, "How many to draw", make("small", {}, " to choose from")), make("input", { id: "b-count", type: "number", min: 1, max: 24, value: table.count || 12, oninput: (e) => { table.count = Number(e.target.value) || 12; } })),
          make("p.field", {}, make("label", { for: "b-name" }, "Called", make("small", {}, " the folder's name")), make("input", { id: "b-name", maxlength: 60, value: name || table.title, oninput: (e) => { name = e.target.value; } })),
          make("p", {}, make("button.main", { type: "submit" }, "Draw boards")),
        ),
        make("div", {}, sketch,
          start.folders.length ? make("section", {}, make("h2", {}, "Or go on with"), make("ul.plain", {}, start.folders.map((f) => make("li", {}, button(f.title || start.place, () => { page.folder = f.folder; page.draft = null; go("wall"); refresh(); }))))) : null,
          make("p.hint", {}, "A board of this kind is for serving. Router, laser, dust and oily rags can hurt: every worksheet says the usual cautions; the manuals, local rules and licensed practice come first."),
        ),
      ),
    );
    outline();
  }

  layOut();
  fill(page.work, form);
}

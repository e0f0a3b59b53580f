// Boards on the piece of timber: dragged, turned, settled; what each keeps clear of is said as it lies.
import { button, fill, make, tell } from "./dom.js";
import { get, post } from "./ask.js";
import * as units from "./units.js";
import { attempt, go } from "./page.js";

export async function piece(page) {
  const folder = page.folder;
  const wall = await get("wall", { folder });
  const boards = wall.rounds.flatMap((r) => r.boards).filter((b) => !b.damaged && b.shapes);
  const known = Object.fromEntries(boards.map((b) => [b.key, b]));
  let told = await get("piece", { folder });
  let rows = told.boards || [], other = told.other || [], chosen = 0, drag = null, busy = false, again = null, left = [];
  const drawing = make("svg.laying", { role: "group", "aria-label": "The piece with its boards" });
  const side = make("div.side"), tools = make("div.tools");
  const plain = (r) => ({ key: r.key, x: r.x, y: r.y, turned: r.turned });

  async function use(name) {
    const made = await attempt(() => get("piece", { folder, piece: name }));
    if (made && !drag) { if (!told.piece || told.piece.file !== name) left = []; told = made; rows = made.boards || []; other = made.other || []; redraw(); }
  }

  async function send(what, more = {}, says = "") {
    const made = await attempt(() => post(what, { folder, piece: told.piece.file, boards: rows.map(plain), ...more }), says);
    if (made) { rows = made.boards; other = made.other || []; if (made.left) left = made.left; }
    redraw();
    return made;
  }

  async function measure() {
    if (busy) { again = true; return; }
    busy = true;
    try {
      const made = await post("measure", { folder, piece: told.piece.file, boards: rows.map(plain) });
      made.boards.forEach((b, i) => { if (rows[i] && rows[i].key === b.key) Object.assign(rows[i], { holds: b.holds, clear: b.clear, inside: b.inside, off_grain: b.off_grain }); });
      redraw();
    } catch (error) { tell(error.message, true); }
    busy = false;
    if (again) { again = false; measure(); }
  }

  function ring(points) { return `M${points.map(([x, y]) => `${x} ${-y}`).join("L")}z`; }

  function redraw() {
    if (told.piece) {
      const [x0, y0, x1, y1] = told.piece.box, edge = Math.max(x1 - x0, y1 - y0) * 0.06;
      drawing.setAttribute("viewBox", `${x0 - edge} ${-y1 - edge} ${x1 - x0 + 2 * edge} ${y1 - y0 + 2 * edge}`);
      const unit = (x1 - x0 + 2 * edge) / Math.max(drawing.clientWidth || 800, 300);
      fill(drawing,
        make("path.timber", { d: told.piece.rings.map(ring).join(""), "fill-rule": "evenodd" }),
        told.piece.natural.map((line) => make("path.natural", { d: `M${line.map(([x, y]) => `${x} ${-y}`).join("L")}` })),
        told.piece.defects.map((d) => make("g.defect", {}, make("path", { d: ring(d.ring) }), make("text", { x: d.ring[0][0], y: -d.ring[0][1] - 4 * unit, "font-size": 12 * unit }, d.kind))),
        make("line.grain", { x1: x0 - edge * 0.4, y1: -y1 - edge * 0.5, x2: x0 - edge * 0.4 + 90 * Math.cos(told.piece.grain * Math.PI / 180), y2: -y1 - edge * 0.5 - 90 * Math.sin(told.piece.grain * Math.PI / 180) }),
        told.piece.fixings.map((f) => make("circle.fixing", { cx: f.at[0], cy: -f.at[1], r: f.diameter / 2 })),
        rows.map((r, i) => known[r.key] && make(`g.lying${r.holds === false ? ".bad" : ""}${i === chosen ? ".chosen" : ""}`, { transform: `translate(${r.x} ${-r.y}) rotate(${-r.turned})`, tabindex: 0, role: "button", "data-at": i, "aria-label": `${known[r.key].name}: ${clear(r)}` },
          make("path.wood", { d: known[r.key].path, "fill-rule": "evenodd" }),
          make("text", { x: 0, y: 0, "text-anchor": "middle", "font-size": 14 * unit, transform: `rotate(${r.turned})` }, known[r.key].name),
          make("circle.turner", { cx: known[r.key].box[2] - 14, cy: 0, r: 9 * unit, "data-turn": i }))));
    }
    figures();
  }

  function clear(r) {
    if (r.holds === undefined) return "";
    const first = (r.clear || [])[0];
    if (r.inside) return `over ${r.inside}`;
    if (r.off_grain) return `${r.off_grain} degrees too far off the grain`;
    if (!first) return "clear";
    return r.holds ? `fits: ${units.length(first.there, 1)} to ${first.name}, ${units.length(first.asked, 1)} asked` : `short by ${units.length(first.asked - first.there, 1)} to ${first.name}`;
  }

  function figures() {
    fill(tools,
      make("label", {}, "Piece ", make("select", { onchange: (e) => e.target.value && use(e.target.value) }, make("option", { value: "" }, "choose one"), told.pieces.map((p) => make("option", { value: p, selected: Boolean(told.piece && told.piece.file === p) }, p.replace(/\.toml$/, ""))))),
      told.piece ? [
        button("Lay the kept ones", () => send("lay", { keys: boards.filter((b) => b.say === "keep").map((b) => b.key) }, "Looking for places"), { class: "main", disabled: !boards.some((b) => b.say === "keep") }),
        make("label", {}, "Add ", make("select", { onchange: (e) => { if (e.target.value) add(e.target.value); } }, make("option", { value: "" }, "a board"), boards.map((b) => make("option", { value: b.key }, `${b.name}${b.say === "keep" ? ", kept" : ""}`)))),
        rows.length ? button("Go on with these", () => go("hand", { piece: told.piece.file }), { disabled: rows.some((r) => r.holds === false) }) : null,
      ] : null);
    const r = rows[chosen];
    fill(side,
      told.piece ? make("p", {}, `${told.piece.name}: ${told.piece.species}, ${units.size([told.piece.box[2] - told.piece.box[0], told.piece.box[3] - told.piece.box[1]])}, ${units.length(told.piece.thickness)} thick; the line shows its grain, dots are screws`) : make("p", {}, "Choose the piece of timber that lies on the bench: an off-cut's file in this folder, or one of the presets."),
      other.length ? make("ul", {}, other.map((t) => make("li", {}, units.said(t)))) : null,
      left.length ? make("p.fail", {}, `${rows.length} of ${rows.length + left.length} fit together:`) : null,
      left.length ? make("ul.fail", {}, left.map((t) => make("li", {}, units.said(t)))) : null,
      rows.map((row, i) => make("p.amount", {}, button(known[row.key]?.name || row.key, () => { chosen = i; redraw(); }, { "aria-pressed": String(i === chosen) }), make("span", { class: row.holds === false ? "fail" : "" }, clear(row)))),
      r ? make("fieldset", {}, make("legend", {}, known[r.key]?.name || r.key),
        (r.clear || []).map((c) => make("p", {}, c.there < 0 ? `reaches ${units.length(-c.there, 1)} over ${c.name}` : `${units.length(c.there, 1)} to ${c.name} (${units.length(c.asked, 1)} asked)`)),
        make("p.amount", {}, make("label", { for: "p-turn" }, "turned by", make("small", {}, " degrees")), make("input", { id: "p-turn", value: r.turned.toFixed(1), onchange: (e) => { const v = Number(e.target.value); if (!Number.isNaN(v)) { r.turned = v; send("lie"); } } })),
        make("p.row", {}, button("Settle", () => send("settle", { which: chosen }, "Looking for the nearest place"), { class: "main" }), button("Turn end to end", () => { r.turned += 180; send("lie"); }), button("Take off", () => { rows.splice(chosen, 1); chosen = 0; send("lie"); }))) : null);
  }

  function add(key) {
    const [x0, y0, x1, y1] = told.piece.box;
    rows.push({ key, x: (x0 + x1) / 2, y: (y0 + y1) / 2, turned: told.piece.grain });
    chosen = rows.length - 1;
    send("lie");
  }

  const place = (event) => { const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(drawing.getScreenCTM().inverse()); return [p.x, -p.y]; };
  drawing.addEventListener("pointerdown", (event) => {
    const board = event.target.closest?.("[data-at]");
    if (!board) return;
    event.preventDefault();
    chosen = Number(board.dataset.at);
    drag = { from: place(event), was: plain(rows[chosen]), turn: event.target.dataset.turn !== undefined, id: event.pointerId };
    drawing.setPointerCapture(event.pointerId);
    redraw();
  });
  drawing.addEventListener("pointermove", (event) => {
    if (!drag || drag.id !== event.pointerId) return;
    const at = place(event), r = rows[chosen];
    if (drag.turn) {
      const angle = (p) => Math.atan2(p[1] - drag.was.y, p[0] - drag.was.x);
      r.turned = drag.was.turned + (angle(at) - angle(drag.from)) * 180 / Math.PI;
    } else { r.x = drag.was.x + at[0] - drag.from[0]; r.y = drag.was.y + at[1] - drag.from[1]; }
    redraw();
    measure();
  });
  const drop = () => { if (drag) { drag = null; send("lie"); } };
  drawing.addEventListener("pointerup", drop);
  drawing.addEventListener("pointercancel", drop);
  drawing.addEventListener("keydown", (event) => {
    const board = event.target.closest?.("[data-at]"), by = event.shiftKey ? 10 : 1;
    if (!board) return;
    chosen = Number(board.dataset.at);
    const r = rows[chosen];
    const way = { ArrowLeft: [-by, 0, 0], ArrowRight: [by, 0, 0], ArrowUp: [0, by, 0], ArrowDown: [0, -by, 0], q: [0, 0, by / 2], e: [0, 0, -by / 2] }[event.key];
    if (!way) return;
    event.preventDefault();
    r.x += way[0]; r.y += way[1]; r.turned += way[2];
    send("lie").then(() => drawing.querySelector(`[data-at="${chosen}"]`)?.focus());
  });

  page.changed = () => { if (!drag) use(told.piece ? told.piece.file : ""); };
  fill(page.work, make("h1.quiet", {}, "Lay it on the piece"), tools, make("div.bench", {}, make("div.stage", {}, drawing, make("p.hint", {}, "Drag a board; turn it by the knob at its end. With Tab and the arrow keys it moves a little, with Shift ten times as far; Q and E turn it.")), side));
  redraw();
}

// One board under the hand: pull its edge, state its stretches, change its handle; checks follow at once.
import { button, fill, make, tell } from "./dom.js";
import { get, picture, post, socket } from "./ask.js";
import * as units from "./units.js";
import { attempt, go, refresh } from "./page.js";
import { showAll } from "./wall.js";

const NEAR = 26;  // pixels from the edge within which it is taken hold of
const CORNER = 35;  // degrees: what turns further is a corner, made rounder or sharper; the rest is bowed
const WORDS = { thickness: "thickness", cutter: "cutter", round_over: "round-over", guide_bearing: "guide bearing", max_mass: "most weight" };

export async function shape(page, asked) {
  const folder = page.folder, name = asked.draft || page.draft;
  if (!name) { go("wall"); return; }
  let now = await get("draft", { folder, draft: name });
  let offset = [0, 0], view = null, chosen = 0, busy = false, waiting = null, number = 0, pull = null, live = null, closed = false;
  page.draft = now.draft;

  const drawing = make("svg.shaping", { role: "group", "aria-label": "The board: drag its edge, or take a knob and use the arrow keys" });
  const parts = make("fieldset.part"), hold = make("fieldset.hold"), whole = make("fieldset.whole"), found = make("section.findings"), tools = make("div.tools");
  const finished = make("img.finished", { alt: "the board finished" });
  let line = null;

  function connect() {
    line = socket("shape");
    line.addEventListener("message", (event) => {
      busy = false;
      const made = JSON.parse(event.data);
      if (pull && made.number === number) {
        if (made.problems) tell(made.problems.map((p) => p.what).join("\n"), true);
        else { tell(""); live = made; draw(made.board, [offset[0] - made.shift[0], offset[1] - made.shift[1]]); }
      }
      send();
    });
    line.addEventListener("close", () => { busy = false; if (!closed) setTimeout(connect, 1000); });
  }

  function send() {
    if (!waiting || busy || line.readyState !== 1) return;
    busy = true;
    line.send(JSON.stringify(waiting));
    waiting = null;
  }

  function tryOut(touch) {
    number += 1;
    waiting = { number, folder, draft: now.draft, at: now.at, touch };
    send();
  }

  let own = 0;  // writes of this page under way: what they change is no news
  async function touch(what, says = "") {
    own += 1;
    const made = await attempt(() => post("touch", { folder, draft: now.draft, at: now.at, touch: what }), says);
    own -= 1;
    if (!made) { redraw(); return; }
    offset = [offset[0] - made.shift[0], offset[1] - made.shift[1]];
    if (made.forked) tell("somebody else shaped it meanwhile: both stay, and you go on in a copy of your own", true);
    take(made);
  }

  function take(made) {
    now = made;
    page.draft = made.draft;
    live = null;
    refresh();
    redraw();
  }

  async function stand(at) {
    own += 1;
    const made = await attempt(() => post("stand", { folder, draft: now.draft, at }));
    own -= 1;
    if (made) { offset = [0, 0]; view = null; take(made); }
  }

  // Board coordinates have y up; the drawing's go down.
  function place(event) {
    const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(drawing.getScreenCTM().inverse());
    return [p.x - offset[0], -p.y - offset[1]];
  }

  function draw(board, at = offset) {
    const [x0, y0, x1, y1] = board.box;
    if (!view) view = [x0 - 60, -y1 - 60, x1 - x0 + 120, y1 - y0 + 120];
    drawing.setAttribute("viewBox", view.join(" "));
    const knob = Math.max(view[2] / Math.max(drawing.clientWidth || 800, 300) * 9, 3);
    const bad = board.findings.filter((f) => f.verdict === "fail");
    const spots = bad.flatMap((f, i) => f.where.slice(0, 8).map(([x, y]) => make("g.spot", {}, make("circle", { cx: x, cy: -y, r: knob * 1.5 }), make("text", { x, y: -y + knob * 0.5, "font-size": knob * 1.6, "text-anchor": "middle" }, String(i + 1)))));
    const focused = drawing.contains(document.activeElement);
    fill(drawing, make("g", { transform: `translate(${at[0]} ${-at[1]})` },
      pull && board !== now.board ? make("path.before", { d: now.board.path, transform: `translate(${offset[0] - at[0]} ${at[1] - offset[1]})` }) : null,
      make("path.wood", { d: board.path, "fill-rule": "evenodd" }),
      make("line.grain", { x1: x0 - 30, y1: -y1 - 22, x2: x0 + 40, y2: -y1 - 22 }), make("text.grainword", { x: x0 - 30, y: -y1 - 28, "font-size": knob * 1.5 }, "grain"),
      spots,
      (board.holes || []).map((h, i) => make("rect.hole", { x: h.at[0] - knob * 0.8, y: -h.at[1] - knob * 0.8, width: knob * 1.6, height: knob * 1.6, "data-hole": i }, make("title", {}, "drag: moves it along the edge"))),
      (board.parts || []).map((p, i) => make(`circle.knob${p.turn > CORNER ? "" : ".bowed"}${i === chosen ? ".chosen" : ""}`, { cx: p.at[0], cy: -p.at[1], r: p.turn > CORNER ? knob : knob * 0.7, tabindex: 0, role: "button", "aria-label": `${p.name}: ${says(p)}`, "data-part": i, onfocus: () => { if (chosen !== i && !pull) { chosen = i; draw(board, at); fields(); drawing.querySelector(`[data-part="${i}"]`)?.focus(); } } }, make("title", {}, `${p.name}: ${says(p)}`)))));
    if (focused && !pull) drawing.querySelector(`[data-part="${chosen}"]`)?.focus();
    figures(board);
  }

  function says(p) {
    const turn = `${p.turn.toFixed(0)} degrees`;
    return p.radius ? `${turn} on ${units.length(p.radius, 1)} radius` : `${units.length(p.length)} long, bowed by ${turn}`;
  }

  drawing.addEventListener("pointerdown", (event) => {
    const board = now.board, at = place(event), scale = view[2] / drawing.clientWidth;
    const hole = event.target.closest?.("[data-hole]");
    if (hole) {
      const h = board.holes[Number(hole.dataset.hole)];
      event.preventDefault();
      drawing.setPointerCapture(event.pointerId);
      pull = { hole: h, was: board.hand.find((s) => s.name === h.name).value, grabbed: at, from: at, to: at, id: event.pointerId };
      return;
    }
    const knob = event.target.closest?.("[data-part]");
    if (knob) { chosen = Number(knob.dataset.part); fields(); }
    const path = drawing.querySelector(".wood");
    const total = path.getTotalLength();
    let best = Infinity, from = at;
    for (let i = 0; i < 400; i += 1) { const p = path.getPointAtLength(total * i / 400); const d = Math.hypot(p.x - at[0], -p.y - at[1]); if (d < best) { best = d; from = [p.x, -p.y]; } }
    if (knob) from = board.parts[chosen].at;
    else if (best > NEAR * scale) return;
    event.preventDefault();
    drawing.setPointerCapture(event.pointerId);
    pull = { from, grabbed: at, to: from, id: event.pointerId, corner: knob && board.parts[chosen].turn > CORNER ? board.parts[chosen].name : null };
    if (!knob) {
      const near = board.parts.map((p, i) => [Math.hypot(p.at[0] - from[0], p.at[1] - from[1]), i]).sort((a, b) => a[0] - b[0])[0];
      chosen = near[1];
      fields();
    }
  });
  drawing.addEventListener("pointermove", (event) => {
    if (!pull || event.pointerId !== pull.id) return;
    const at = place(event);
    pull.to = [pull.from[0] + at[0] - pull.grabbed[0], pull.from[1] + at[1] - pull.grabbed[1]];
    tryOut(asks(pull));
  });
  // What a drag asks: the edge pulled, a corner rounder or sharper, or an opening moved along the edge.
  function asks({ from, to, hole, was, corner }) {
    if (corner) return { corner, to };
    if (!hole) return { pull: { from, to } };
    return { hand: hole.name, value: Math.round((was + (to[0] - from[0]) * hole.way[0] + (to[1] - from[1]) * hole.way[1]) * 10) / 10 };
  }
  const done = (event, keep) => {
    if (!pull || (event.pointerId !== undefined && event.pointerId !== pull.id)) return;
    const { from, to } = pull, what = asks(pull);
    pull = null; waiting = null;
    if (keep && Math.hypot(to[0] - from[0], to[1] - from[1]) > 0.2) touch(what);
    else redraw();
  };
  drawing.addEventListener("pointerup", (event) => done(event, true));
  drawing.addEventListener("pointercancel", (event) => done(event, false));
  drawing.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (!way || !now.board.parts) return;
    event.preventDefault();
    const by = event.shiftKey ? 5 : 1, p = now.board.parts[chosen];
    touch({ pull: { from: p.at, to: [p.at[0] + way[0] * by, p.at[1] + way[1] * by] } });
  });

  function amount(label, value, unit, set, range = {}) {
    const id = `s-${label.replace(/\W+/g, "-")}`, isLength = unit === "mm";
    const show = (v) => isLength ? units.figure(v, 2) : v.toFixed(unit === "degrees" ? 1 : 2);
    const read = (t) => isLength ? units.read(t) : Number(t.replace(",", "."));
    const input = make("input", { id, value: show(value), "data-shown": show(value), inputmode: "text", onchange: () => { const v = read(input.value); if (Number.isNaN(v)) { input.setAttribute("aria-invalid", "true"); tell(`${label}: that is no number`, true); } else set(v); } });
    const step = isLength ? (value > 60 ? 2 : 0.5) : unit === "degrees" ? 1 : 0.05;
    const by = (d) => set(Math.min(Math.max(value + d * step, range.low ?? -1e4), range.high ?? 1e4));
    return make("p.amount", {}, make("label", { for: id }, label, make("small", {}, ` ${isLength ? units.used() : unit}`)), button("-", () => by(-1), { "aria-label": `${label} less` }), input, button("+", () => by(1), { "aria-label": `${label} more` }));
  }

  // What is drawn anew gives back the focus, and what was being typed.
  function fields() {
    const held = document.activeElement, id = held && held.closest(".side") ? held.id : "";
    const typed = id && held.dataset.shown !== undefined && held.value !== held.dataset.shown ? held.value : null;
    fieldsAnew();
    const again = id && document.getElementById(id);
    if (again) { again.focus(); if (typed !== null) again.value = typed; }
  }

  function fieldsAnew() {
    const board = now.board, list = board.parts || [];
    chosen = Math.min(chosen, Math.max(list.length - 1, 0));
    const p = list[chosen];
    fill(parts, make("legend", {}, "The stretch under the hand"),
      p ? [
        make("p.amount", {}, make("label", { for: "s-which" }, "Which"), make("select", { id: "s-which", onchange: (e) => { chosen = Number(e.target.value); redraw(); } }, list.map((q, i) => make("option", { value: i, selected: i === chosen }, q.name)))),
        amount("turns by", p.turn, "degrees", (v) => touch({ stretch: p.name, turn: v })),
        p.radius ? amount("on a radius of", p.radius, "mm", (v) => touch({ stretch: p.name, radius: v })) : amount("its length", p.length, "mm", (v) => touch({ stretch: p.name, length: v })),
        p.held ? make("p.hint", {}, "It keeps its radius when you pull elsewhere; state it here, or drag its knob, to change it.") : null,
      ] : null);
    fill(hold, make("legend", {}, "Handle"),
      make("p.amount", {}, make("label", { for: "s-handle" }, "Held by"), make("select", { id: "s-handle", onchange: (e) => touch({ handle: e.target.value }, "Finding a place for it") }, (board.handles || [board.handle]).map((h) => make("option", { value: h, selected: h === board.handle }, page.start.handles[h]?.called || h)))),
      board.neck ? [amount("neck width", board.neck.wide, "mm", (v) => touch({ neck: { wide: v } })), amount("neck length", board.neck.long, "mm", (v) => touch({ neck: { long: v } }))] : null,
      (board.hand || []).map((h) => amount(h.says, h.value, h.unit || "of what there is", (v) => touch({ hand: h.name, value: v }), h)));
    fill(whole, make("legend", {}, "The whole board"),
      amount("length", board.size[0], "mm", (v) => touch({ box: { length: v } })), amount("width", board.size[1], "mm", (v) => touch({ box: { width: v } })),
      ["thickness", "cutter", "round_over", "guide_bearing"].map((n) => amount(WORDS[n], board.settings[n], "mm", (v) => touch({ set: { [n]: Math.round(v * 1000) / 1000 } }))),
      make("p.amount", {}, make("label", { for: "s-wood" }, "Timber"), make("select", { id: "s-wood", onchange: (e) => touch({ set: { species: e.target.value } }) }, page.start.species.map((s) => make("option", { value: s, selected: s === board.settings.species }, s)))),
      make("p.amount", {}, make("label", { for: "s-name" }, "Name"), make("input", { id: "s-name", maxlength: 60, value: board.name, onchange: (e) => touch({ name: e.target.value }) })));
  }

  function figures(board) {
    const bad = board.findings.filter((f) => f.verdict === "fail"), near = board.findings.filter((f) => f.verdict === "warn");
    fill(found,
      make("h2", {}, bad.length ? `Fails ${bad.length} ${bad.length === 1 ? "check" : "checks"}` : near.length ? `No check fails, ${near.length} close` : "No check fails"),
      make("p", {}, `${units.size(board.size)}, ${units.mass(board.mass)}`),
      bad.length ? make("ol", {}, bad.map((f) => make("li.fail", {}, make("strong", {}, `${f.check}: `), units.said(f.message), " ", f.fix ? button(units.said(f.fix.label), () => touch(f.fix.touch), { class: "fix" }) : null))) : null,
      near.length ? make("ul", {}, near.map((f) => make("li", {}, make("strong", {}, `${f.check}, close: `), units.said(f.message)))) : null,
      make("details", {}, make("summary", {}, "all checks"), make("ul", {}, board.findings.map((f) => make("li", {}, `${f.check}: ${f.verdict}; `, units.said(f.message))))));
  }

  function redraw() {
    draw(now.board);
    fields();
    fill(tools,
      button("Undo", () => stand(now.at - 1), { disabled: now.at === 0 }), button("Redo", () => stand(now.at + 1), { disabled: now.at + 1 >= now.steps }),
      make("span.count", {}, `step ${now.at + 1} of ${now.steps}`),
      button("Fit to view", () => { view = null; offset = [0, 0]; redraw(); }),
      button("Keep this board", keep, { class: "main" }));
    finished.src = picture("draft", { folder, draft: now.draft, at: now.at, pixels: 640 });
  }

  async function keep() {
    if (!now.board.passes && !confirm("It fails a check, so nothing will be cut of it until that is mended. Keep it all the same?")) return;
    const made = await attempt(() => post("keep", { folder, draft: now.draft }), "Writing the board");
    if (made) { showAll(); go("wall"); }
  }

  const keys = (event) => {
    if (event.key === "Escape" && pull) { done({}, false); return; }
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input")) return;
    if (event.key === "z" && !event.shiftKey && now.at > 0) { event.preventDefault(); stand(now.at - 1); }
    if ((event.key === "y" || (event.key === "z" && event.shiftKey)) && now.at + 1 < now.steps) { event.preventDefault(); stand(now.at + 1); }
  };
  addEventListener("keydown", keys);
  page.leave = () => { closed = true; removeEventListener("keydown", keys); line.close(); };
  page.changed = async () => { if (pull || own) return; const made = await attempt(() => get("draft", { folder, draft: now.draft })); if (made && !own && (made.at !== now.at || made.steps !== now.steps)) { offset = [0, 0]; take(made); } };
  fill(page.work, make("h1.quiet", {}, "Shape it"), tools, make("div.bench", {}, make("div.stage", {}, drawing, make("p.hint", {}, "Drag the edge where you want it otherwise. A corner's knob makes it rounder or sharper, the small dashed knob of a side bows it; a square knob in an opening moves it along the edge. Take a knob with Tab: arrow keys pull it a little, with Shift five times as far. Escape lets go."), finished), make("div.side", {}, found, parts, hold, whole)));
  connect();
  redraw();
}

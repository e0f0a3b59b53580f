// The wall: all boards to one scale; yes and no; more of what was liked; one of them large.
import { button, fill, make, tell } from "./dom.js";
import { get, picture, post } from "./ask.js";
import * as units from "./units.js";
import { attempt, go, refresh } from "./page.js";

const SORTS = [["drawn", "as drawn", () => 0], ["size", "largest first", (a, b) => b.size[0] * b.size[1] - a.size[0] * a.size[1]], ["mass", "lightest first", (a, b) => a.mass - b.mass], ["timber", "cheapest timber first", (a, b) => (a.timber ?? 1e9) - (b.timber ?? 1e9)], ["strength", "strongest first", (a, b) => (b.strength ?? -1) - (a.strength ?? -1)]];
const GROUND = 16, LEAN = 0.34;  // mm of ground round a picture, and how far the edge shows, as pictures are drawn
let sorted = "drawn", round = null, picked = new Set();

export function showAll() { round = null; }

export async function wall(page) {
  const folder = page.folder;
  let told = await get("wall", { folder });
  const board = make("section.wall", { "aria-label": "Boards" });
  const rounds = make("div.rounds", { role: "group", "aria-label": "Rounds" });
  const taste = make("section.taste");
  const tools = make("div.tools");

  const every = () => told.rounds.flatMap((r) => r.boards).filter((b) => !b.damaged);
  const find = (key) => every().find((b) => b.key === key);

  async function say(key, what) {
    const one = find(key), was = one.say;
    one.say = was === what ? "" : what;
    mark(key);
    drawTools();
    const made = await attempt(() => post("say", { folder, key, say: one.say }));
    if (made) { told.taste = made.taste; drawTaste(); } else { one.say = was; mark(key); drawTools(); }
  }

  function mark(key) {
    const one = find(key), figure = board.querySelector(`[data-key="${CSS.escape(key)}"]`);
    if (!figure) return;
    if (figure.dataset.say === one.say) return;
    figure.dataset.say = one.say;
    figure.querySelector(".keep").setAttribute("aria-pressed", String(one.say === "keep"));
    figure.querySelector(".aside").setAttribute("aria-pressed", String(one.say === "aside"));
    figure.querySelector(".opinion").textContent = { keep: "kept", aside: "set aside" }[one.say] || "";
  }

  function shown() {
    // What was shaped by hand comes first, before the rounds in their order.
    const from = round === null ? [...told.rounds].sort((a, b) => b.name.endsWith("/shaped") - a.name.endsWith("/shaped")) : told.rounds.filter((r) => r.name === round);
    return from.flatMap((r) => r.boards).filter((b) => round !== null || b.damaged || b.say !== "aside" || told.rounds.length === 1);
  }

  function drawBoards() {
    const list = [...shown()].sort((a, b) => (a.damaged ? 1 : 0) - (b.damaged ? 1 : 0) || (a.damaged ? 0 : SORTS.find(([n]) => n === sorted)[2](a, b)));
    const longest = Math.max(...every().map((b) => b.box[2] - b.box[0]), 100) + 2 * GROUND;
    const room = Math.max(page.work.clientWidth - 8, 280);
    const across = Math.max(1, Math.min(4, Math.floor(room / 330)));
    const scale = Math.min((room / across - 24) / longest, 1.1);
    fill(board, list.map((one) => one.damaged ? make("figure.board", {}, make("figcaption", {}, one.damaged)) : card(one, scale)));
  }

  function card(one, scale) {
    const wide = (one.box[2] - one.box[0] + 2 * GROUND) * scale, high = (one.box[3] - one.box[1] + 2 * GROUND + LEAN * one.thickness) * scale;
    const fine = Math.min(Math.round(scale * Math.min(devicePixelRatio || 1, 2) * 20) / 20, 3);
    const image = make("img", { alt: `${one.name}, a ${one.form}`, width: Math.round(wide), height: Math.round(high), loading: "lazy", decoding: "async", src: picture("wall", { folder, key: one.key, scale: fine }) });
    const figure = make("figure.board", { "data-key": one.key, "data-say": one.say },
      button(image, () => large(one), { class: "picture", "aria-label": `${one.name}: look at it large` }),
      make("figcaption", {},
        make("strong", {}, one.name), make("span.opinion", {}, { keep: "kept", aside: "set aside" }[one.say] || ""),
        make("span.figures", {}, `${units.size(one.size)}, ${units.mass(one.mass)}`),
        one.passes ? null : make("span.fails", {}, `fails: ${units.said(one.says[0] || "")}`)),
      make("div.row", {},
        button("Keep", () => say(one.key, "keep"), { class: "keep", "aria-pressed": String(one.say === "keep") }),
        button("Set aside", () => say(one.key, "aside"), { class: "aside", "aria-pressed": String(one.say === "aside") }),
        one.shapes ? button("Shape", () => begin(one.key), { class: "plain" }) : null,
        make("label.pick", {}, make("input", { type: "checkbox", checked: picked.has(one.key), onchange: (e) => { if (e.target.checked) picked.add(one.key); else picked.delete(one.key); drawTools(); } }), "pick")));
    figure.style.width = `${Math.max(Math.round(wide), 322) + 16}px`;  // a word more or less moves no neighbour
    return figure;
  }

  async function begin(key) {
    const made = await attempt(() => post("begin", { folder, key }));
    if (made) { page.draft = made.draft; refresh(); go("shape", { draft: made.draft }); }
  }

  async function draw(what, body, says) {
    const made = await attempt(() => post(what, { folder, ...body }), says);
    if (made) { round = made.round; picked = new Set(); await load(); tell("a new round; earlier ones stay"); }
  }

  function drawTools() {
    picked = new Set([...picked].filter((k) => find(k)));
    const marked = [...picked], kept = every().filter((b) => b.say === "keep");
    fill(tools,
      button("More", () => draw("more", {}, "Drawing more, by what you said"), { class: "main" }),
      button("Between two", () => draw("between", { keys: marked }, "Drawing between the two"), { disabled: marked.length !== 2, title: "pick two boards" }),
      button("Lay over", () => over(find(marked[0]), find(marked[1])), { disabled: marked.length !== 2, title: "pick two boards" }),
      make("label", {}, "Sort ", make("select", { onchange: (e) => { sorted = e.target.value; drawBoards(); } }, SORTS.map(([n, says]) => make("option", { value: n, selected: n === sorted }, says)))),
      make("span.count", {}, `${kept.length} kept of ${every().length}`),
      kept.length ? [button("Hand over the kept ones", () => go("hand")), button("Lay the kept ones on a piece", () => go("piece"))] : null);
  }

  function drawRounds() {
    const called = (name, i) => name === "" ? "first" : name.endsWith("/shaped") ? "shaped by hand" : `round ${i + 1}`;
    fill(rounds,
      told.rounds.length > 1 ? button("all but set aside", () => { round = null; drawRounds(); drawBoards(); }, { "aria-pressed": String(round === null) }) : null,
      told.rounds.length > 1 ? told.rounds.map((r, i) => button(`${called(r.name, i)} (${r.boards.length})`, () => { round = r.name; drawRounds(); drawBoards(); }, { "aria-pressed": String(round === r.name) })) : null,
      told.drafts.length ? make("label", {}, "Go on shaping ", make("select", { onchange: (e) => { if (e.target.value) { page.draft = e.target.value; refresh(); go("shape", { draft: e.target.value }); } } }, make("option", { value: "" }, "one of these"), told.drafts.map((d) => make("option", { value: d }, d.replace(/-[0-9a-f]{6}(-[0-9a-f]{4})*$/, ""))))) : null);
  }

  function drawTaste() {
    const { beliefs, struck, brought } = told.taste;
    const own = async (measure, out) => { const made = await attempt(() => post("strike", { folder, measure, out })); if (made) { told.taste = made.taste; drawTaste(); } };
    fill(taste,
      make("h2", {}, "What you seem to like"),
      told.taste.damaged ? make("p.fail", {}, told.taste.damaged) : null,
      beliefs.length ? make("ul.plain", {}, beliefs.map((b) => make("li", {}, b.says, " ", button("strike out", () => own(b.measure, true), { class: "small", "aria-label": `strike out: ${b.says}` })))) : make("p.hint", {}, "Keep some and set some aside: what follows goes by it."),
      struck.length ? make("p.hint", {}, "struck out: ", struck.map((s) => button(`${s.says}: count it again`, () => own(s.measure, false), { class: "small" }))) : null,
      make("p.row", {},
        button("Save this taste as a file", save, { class: "small" }),
        make("label.file", {}, "Take a taste from a file ", make("input", { type: "file", accept: ".json", onchange: (e) => bring(e.target) })),
        brought ? button("Delete the one taken", async () => { const made = await attempt(() => post("forget", { folder })); if (made) { told.taste = made.taste; drawTaste(); } }, { class: "small" }) : null));
  }

  async function save() {
    const made = await attempt(() => get("taste", { folder }));
    if (!made || !made.taste) { tell("nothing was said yet", true); return; }
    const address = URL.createObjectURL(new Blob([JSON.stringify(made.taste, null, 2)], { type: "application/json" }));
    make("a", { href: address, download: "taste.json" }).click();
    setTimeout(() => URL.revokeObjectURL(address), 1000);
  }

  async function bring(input) {
    const file = input.files[0];
    if (!file || file.size > 100000) { tell("that is no taste", true); return; }
    let table;
    try { table = JSON.parse(await file.text()); } catch { tell("that is no taste", true); return; }
    const made = await attempt(() => post("forget", { folder, taste: table }));
    if (made) { told.taste = made.taste; drawTaste(); }
  }

  function dialog(label, ...children) {
    const place = make("dialog", { "aria-label": label });
    fill(place, make("p.row", {}, make("strong", {}, label), button("Close", () => place.close(), { class: "close" })), ...children);
    place.addEventListener("close", () => place.remove());
    document.body.append(place);
    place.showModal();
    return place;
  }

  function large(one) {
    let under = false, thing = "";
    const pixels = Math.round(Math.min(innerWidth * 0.9, 1000) * Math.min(devicePixelRatio || 1, 2));
    const image = make("img.large", { alt: "" });
    const redraw = () => { image.src = picture("board", { folder, key: one.key, pixels, ...(under ? { under: 1 } : {}), ...(thing ? { beside: thing } : {}) }); image.alt = `${one.name}${under ? ", its underside" : ""}${thing ? `, beside a ${thing}` : ""}`; };
    const count = make("output", {}, String(one.order));
    const order = async (by) => {
      const many = Math.min(Math.max(one.order + by, 0), 99);
      const made = await attempt(() => post("order", { folder, key: one.key, count: many }));
      if (made) { one.order = many; count.textContent = String(many); }
    };
    const keeps = button("Keep", () => { say(one.key, "keep"); pressed(); }), asides = button("Set aside", () => { say(one.key, "aside"); pressed(); });
    const pressed = () => { keeps.setAttribute("aria-pressed", String(one.say === "keep")); asides.setAttribute("aria-pressed", String(one.say === "aside")); };
    pressed();
    const far = make("input", { type: "range", min: 0.1, max: 1, step: 0.05, value: 0.35, "aria-label": "how far from it" });
    const place = dialog(one.name, image,
      make("p.row", {},
        button("Turn over", () => { under = !under; redraw(); }),
        make("label", {}, "Beside ", make("select", { onchange: (e) => { thing = e.target.value; redraw(); } }, make("option", { value: "" }, "nothing"), page.start.things.map((t) => make("option", { value: t }, `a ${t}`))))),
      make("p", {}, `form ${one.form}, ${page.start.handles[one.handle]?.called || one.handle}; ${units.size([...one.size, one.thickness])}; ${units.mass(one.mass)}`, one.timber === null ? "" : `; timber costs ${one.timber.toFixed(2)}`, one.strength === null ? "" : `; bears ${one.strength.toFixed(1)} times its load`),
      one.says.length ? make("ul", {}, one.says.map((s) => make("li", {}, units.said(s)))) : null,
      make("p.row", {},
        keeps, asides,
        one.shapes ? button("Shape it", () => { place.close(); begin(one.key); }) : null,
        make("span", {}, "To be made: ", button("-", () => order(-1), { "aria-label": "one fewer" }), " ", count, " ", button("+", () => order(1), { "aria-label": "one more" }))),
      one.shapes ? make("p.row", {}, "Like this one, ", make("label", {}, "near ", far, " far "), button("Draw relatives", () => { place.close(); draw("like", { key: one.key, how_far: Number(far.value) }, "Drawing its relatives"); })) : null);
    redraw();
  }

  function over(a, b) {
    const x0 = Math.min(a.box[0], b.box[0]) - 8, x1 = Math.max(a.box[2], b.box[2]) + 8, y0 = Math.min(a.box[1], b.box[1]) - 8, y1 = Math.max(a.box[3], b.box[3]) + 8;
    dialog(`${a.name} over ${b.name}`,
      make("svg.over", { viewBox: `${x0} ${-y1} ${x1 - x0} ${y1 - y0}`, role: "img", "aria-label": "two outlines laid over each other" },
        make("path.one", { d: a.path }), make("path.other", { d: b.path })),
      make("p", {}, `${a.name}: filled, ${units.size(a.size)}. ${b.name}: dashed, ${units.size(b.size)}.`));
  }

  board.addEventListener("keydown", (event) => {
    const figure = event.target.closest("[data-key]");
    if (!figure || event.ctrlKey || event.metaKey || event.altKey) return;
    const key = figure.dataset.key, all = [...board.querySelectorAll(".picture")], at = all.indexOf(figure.querySelector(".picture"));
    if (event.key === "k") say(key, "keep");
    else if (event.key === "x") say(key, "aside");
    else if (event.key === "s" && find(key).shapes) begin(key);
    else if (event.key === "ArrowRight" && all[at + 1]) all[at + 1].focus();
    else if (event.key === "ArrowLeft" && all[at - 1]) all[at - 1].focus();
    else return;
    event.preventDefault();
  });

  async function load() {
    told = await get("wall", { folder });
    drawRounds(); drawTaste(); drawTools(); drawBoards();
  }

  const resized = () => drawBoards();
  addEventListener("resize", resized);
  page.leave = () => removeEventListener("resize", resized);
  page.changed = () => attempt(async () => {
    const keys = () => told.rounds.flatMap((r) => r.boards.map((b) => b.key)).join();
    const was = keys();
    told = await get("wall", { folder });
    if (keys() !== was) { drawRounds(); drawTaste(); drawTools(); drawBoards(); return; }
    every().forEach((b) => mark(b.key));
    if (!tools.contains(document.activeElement)) drawTools();
    if (!taste.contains(document.activeElement)) drawTaste();  // what has the focus stays as it is
  });
  if (round !== null && !told.rounds.some((r) => r.name === round)) round = null;
  fill(page.work, make("h1.quiet", {}, "Choose by eye"), rounds, tools, board, taste, make("p.hint", {}, "At a board: K keeps it, X sets it aside, S shapes it, arrows go on to the next."));
  drawRounds(); drawTaste(); drawTools(); drawBoards();
}

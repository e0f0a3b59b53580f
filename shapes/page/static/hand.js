// Handing over: how many of each, a mark, and one press for all that machines and bench need; or an offer.
import { button, fill, make, tell } from "./dom.js";
import { get, post } from "./ask.js";
import * as units from "./units.js";
import { attempt, go } from "./page.js";

const FACES = [["underside", "the underside"], ["handle", "the handle"], ["eating", "the eating face"]];
const CAPITAL = 12;  // mm: a modest size, to begin with

export async function hand(page, asked) {
  const folder = page.folder;
  let told = await get("wall", { folder });
  let { text = "", on = "underside", artwork = "" } = told.mark, height = Number(told.mark.height) || CAPITAL, made = null;
  const laid = await get("piece", { folder });
  const canPiece = Boolean(laid.boards && laid.boards.length);
  let usePiece = canPiece && Boolean(asked.piece);
  const list = make("section.orders"), out = make("section.made", { "aria-live": "polite" }), press = make("p.row"), hint = make("p.hint");
  const previews = new Map();

  const every = () => told.rounds.flatMap((r) => r.boards).filter((b) => !b.damaged);
  const wanted = () => usePiece ? laid.boards.map((r) => every().find((b) => b.key === r.key)).filter(Boolean) : every().filter((b) => b.say === "keep" || b.order).sort((a, b) => a.place - b.place);
  const apart = () => every().filter((b) => (b.say === "keep" || b.order) && !laid.boards.some((r) => r.key === b.key)).map((b) => b.name);
  const marking = () => ({ ...(text ? { text } : {}), ...(artwork ? { artwork } : {}), on, ...(artwork ? {} : { height }) });

  async function order(one, count) {
    const many = Math.min(Math.max(Math.round(count) || 0, 0), 99);
    const done = await attempt(() => post("order", { folder, key: one.key, count: many }));
    if (done) { one.order = many; row(one).replaceWith(draw(one)); presses(); }
  }

  const row = (one) => list.querySelector(`[data-key="${CSS.escape(one.key)}"]`);

  function draw(one) {
    const [x0, y0, x1, y1] = one.box, mark = make("path.engraved"), wood = make("path.wood", { d: one.path, "fill-rule": "evenodd" }), says = make("span.hint");
    previews.set(one.key, { one, mark, wood, says });
    const shown = make("div.order", { "data-key": one.key },
      make("svg", { viewBox: `${x0 - 6} ${-y1 - 6} ${x1 - x0 + 12} ${y1 - y0 + 12}`, role: "img", "aria-label": one.name }, wood, mark),
      make("p", {}, make("strong", {}, one.name), ` ${units.size(one.size)}, ${units.mass(one.mass)}`, one.passes ? "" : "; fails a check, so it is not made", make("br"), says),
      usePiece ? null : make("p.row", {}, button("-", () => order(one, one.order - 1), { "aria-label": `one ${one.name} fewer` }), make("output", { "aria-label": `${one.name} to be made` }, String(one.order)), button("+", () => order(one, one.order + 1), { "aria-label": `one ${one.name} more` })));
    preview(previews.get(one.key));
    return shown;
  }

  let latest = 0;
  async function preview({ one, mark, wood, says }) {
    const now = latest;
    if (!text && !artwork) { mark.removeAttribute("d"); wood.removeAttribute("transform"); says.textContent = ""; return; }
    try {
      const found = await get("mark", { folder, key: one.key, ...marking() });
      if (now !== latest) return;
      mark.setAttribute("d", found.path);
      wood.setAttribute("transform", `scale(${found.flip.join(" ")})`);  // the underside, as it lies turned over
      says.textContent = units.said(`${on === "underside" ? "its underside; " : ""}${found.capital ? `capitals ${units.figure(found.capital, 1)} ${units.used()}, ` : ""}${units.size(found.size)}${found.notes.length ? `; ${found.notes.join("; ")}` : ""}`);
    } catch (error) { if (now === latest) { mark.removeAttribute("d"); says.textContent = error.message; } }
  }

  let soon = 0, later = 0;
  function marked() {
    latest += 1;
    clearTimeout(later);
    later = setTimeout(() => attempt(() => post("engrave", { folder, text, on, height: String(height), artwork })), 600);
    clearTimeout(soon);
    soon = setTimeout(() => previews.forEach(preview), 250);
  }

  async function take(input) {
    const file = input.files[0];
    if (!file) return;
    if (file.size > 3e6) { tell("that drawing is too large: 3 MB at most", true); return; }
    const drawing = await file.text();
    const done = await attempt(() => post("artwork", { folder, name: file.name, text: drawing }));
    if (done) { artwork = done.artwork; marked(); }
  }

  async function write() {
    const done = await attempt(() => post("prepare", { folder, unit: units.used(), ...marking(), ...(usePiece ? { piece: laid.piece.file } : {}) }), "Planning cuts, drawing sheets, writing files: some seconds a board");
    if (done) { made = done; written(); out.scrollIntoView({ behavior: "smooth" }); }
  }

  async function offer() {
    const done = await attempt(() => post("offer", { folder }), "Drawing the offer");
    if (done) { made = { sheets: [done.file], folder: done.file, files: [], notes: done.notes, offer: true }; written(); }
  }

  const address = (path, kind = "file") => `${kind}/${path.split("/").map(encodeURIComponent).join("/")}`;

  function presses() {
    const some = usePiece || wanted().some((b) => b.order);
    fill(press, button("Write everything for the machines and the bench", write, { class: "main", disabled: !some }), usePiece ? null : button("Write an offer for a customer", offer, { disabled: !some }));
    hint.textContent = some ? "" : "Say how many of each: press + beside a board.";
  }

  function written() {
    fill(out, made ? [
      make("h2", {}, made.offer ? "The offer" : "Written"),
      make("p", {}, make("code", {}, `${page.start.place}/${made.folder}`), made.files.length ? [`: ${made.files.length} files `, make("a", { href: address(made.folder, "all"), download: "" }, "all of them as one .zip")] : null),
      made.notes.length ? make("ul", {}, made.notes.map((n) => make("li", {}, units.said(n)))) : null,
      made.files.length ? make("details", { open: true }, make("summary", {}, "its files, all in millimetres, and what each is for"), make("ul.files", {}, made.files.map((f) => make("li", {}, f.for ? `${f.for}: ` : "", make("a", { href: address(f.at), download: "" }, f.name))))) : null,
      made.sheets.map((s) => [make("p", {}, make("a", { href: address(s), target: "_blank", rel: "noopener" }, made.offer ? "Open the offer" : `Open the worksheet ${s.split("/").slice(-2, -1)[0]}`)), make("iframe", { src: address(s), title: made.offer ? "the offer" : "the worksheet", sandbox: "" })]),
    ] : null);
  }

  function redraw() {
    previews.clear();
    const boards = wanted();
    fill(list,
      canPiece ? make("p.amount", {}, make("label", { for: "h-from" }, "Cut from"), make("select", { id: "h-from", onchange: (e) => { usePiece = e.target.value === "piece"; redraw(); } }, make("option", { value: "blanks", selected: !usePiece }, "new blanks, as many as said"), make("option", { value: "piece", selected: usePiece }, `${laid.piece.name}, as they lie on it, one of each`))) : null,
      usePiece && apart().length ? make("p.fail", {}, `Kept, but not on it: ${apart().join(", ")}`) : null,
      usePiece && laid.other.length ? make("ul", {}, laid.other.map((t) => make("li", {}, units.said(t)))) : null,
      boards.length ? boards.map(draw) : make("p", {}, "No board is kept yet: keep some first. ", button("To the boards", () => go("wall"))));
    presses();
  }

  page.changed = async () => {
    const now = await attempt(() => get("wall", { folder }));
    if (!now) return;
    const was = JSON.stringify(wanted().map((b) => [b.key, b.order]));
    told = now;
    if (JSON.stringify(wanted().map((b) => [b.key, b.order])) !== was) redraw();  // a press or a word in hand is not taken away
  };
  fill(page.work, make("h1.quiet", {}, "Hand over"), list,
    make("fieldset.marking", {}, make("legend", {}, "Engraving"),
      make("p.amount", {}, make("label", { for: "h-text" }, "Words, if any"), make("input", { id: "h-text", maxlength: 80, value: text, oninput: (e) => { text = e.target.value.trim(); marked(); } })),
      make("p.amount", {}, make("label", { for: "h-height" }, "Height of capitals", make("small", {}, ` ${units.used()}`)), make("input", { id: "h-height", value: units.figure(height, 1), oninput: (e) => { const v = units.read(e.target.value); e.target.setAttribute("aria-invalid", String(Number.isNaN(v))); if (!Number.isNaN(v)) { height = v; marked(); } } })),
      make("p.amount", {}, make("label", { for: "h-art" }, "A drawing, if any", make("small", {}, " .svg or .dxf; as large as fits")), make("input", { id: "h-art", type: "file", accept: ".svg,.dxf", onchange: (e) => take(e.target) })),
      make("p.amount", {}, make("label", { for: "h-on" }, "On"), make("select", { id: "h-on", onchange: (e) => { on = e.target.value; marked(); } }, FACES.map(([v, says]) => make("option", { value: v, selected: v === on }, says))))),
    page.start.workshop ? null : make("p.hint", {}, "There is no file workshop.toml, which says your machine, cutters and rates, in this folder: speeds, feeds and prices stay blanks on the sheet."),
    press, hint, out);
  redraw();
}

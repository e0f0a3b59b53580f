// Handing over: how many of each, a mark, and one press for all that machines and bench need; or an offer.
import { button, fill, make, tell } from "./dom.js";
import { get, post } from "./ask.js";
import * as units from "./units.js";
import { attempt, go } from "./page.js";

const FACES = [["underside", "the underside"], ["handle", "the handle"], ["eating", "the eating face"]];

export async function hand(page, asked) {
  const folder = page.folder;
  let told = await get("wall", { folder });
  let text = "", on = "underside", made = null;
  const laid = await get("piece", { folder });
  const usePiece = Boolean(asked.piece) && Boolean(laid.boards && laid.boards.length);
  const list = make("section"), out = make("section.made", { "aria-live": "polite" });

  const wanted = () => told.rounds.flatMap((r) => r.boards).filter((b) => !b.damaged && (b.say === "keep" || b.order));

  async function order(one, count) {
    const many = Math.min(Math.max(Math.round(count) || 0, 0), 99);
    const done = await attempt(() => post("order", { folder, key: one.key, count: many }));
    if (done) one.order = many;
    redraw();
  }

  function row(one) {
    const area = make("g"), wood = make("path.wood", { d: one.path, "fill-rule": "evenodd" });
    const [x0, y0, x1, y1] = one.box;
    if (text) attempt(async () => {
      const found = await get("area", { folder, key: one.key, on });
      const { x, y, length, width, angle } = found.area;
      wood.setAttribute("transform", `scale(${found.flip.join(" ")})`);  // the underside, as it lies turned over
      fill(area, make("g", { transform: `translate(${x} ${-y}) rotate(${-angle})` }, make("rect.mark", { x: -length / 2, y: -width / 2, width: length, height: width }), make("text", { x: 0, y: width * 0.16, "text-anchor": "middle", "font-size": Math.min(width * 0.5, length / Math.max(text.length, 1) * 1.5) }, text)));
    });
    return make("div.order", {},
      make("svg", { viewBox: `${x0 - 6} ${-y1 - 6} ${x1 - x0 + 12} ${y1 - y0 + 12}`, width: 180, role: "img", "aria-label": one.name }, wood, area),
      make("p", {}, make("strong", {}, one.name), ` ${units.size(one.size)}, ${units.mass(one.mass)}`, one.passes ? "" : "; fails a check, so it is not made"),
      make("p.row", {}, button("-", () => order(one, one.order - 1), { "aria-label": `one ${one.name} fewer` }), make("output", { "aria-label": `${one.name} to be made` }, String(one.order)), button("+", () => order(one, one.order + 1), { "aria-label": `one ${one.name} more` })));
  }

  async function write() {
    const done = await attempt(() => post("prepare", { folder, ...(text ? { text, on } : {}), ...(usePiece ? { piece: asked.piece } : {}) }), "Planning cuts, drawing sheets, writing files: some seconds a board");
    if (done) { made = done; redraw(); out.scrollIntoView({ behavior: "smooth" }); }
  }

  async function offer() {
    const done = await attempt(() => post("offer", { folder }), "Drawing the offer");
    if (done) { made = { sheets: [done.file], folder: done.file, files: [], notes: done.notes, offer: true }; redraw(); }
  }

  function redraw() {
    const boards = wanted(), some = usePiece || boards.some((b) => b.order);
    fill(list,
      usePiece ? make("p", {}, `The boards that lie on ${laid.piece.name}, one of each, cut from it as they lie.`) : boards.length ? boards.map(row) : make("p", {}, "No board is kept yet: keep some first.", " ", button("To the boards", () => go("wall"))),
      make("fieldset", {}, make("legend", {}, "Engraving"),
        make("p.amount", {}, make("label", { for: "h-text" }, "Words, if any"), make("input", { id: "h-text", maxlength: 80, value: text, onchange: (e) => { text = e.target.value.trim(); redraw(); } })),
        make("p.amount", {}, make("label", { for: "h-on" }, "On"), make("select", { id: "h-on", onchange: (e) => { on = e.target.value; redraw(); } }, FACES.map(([v, says]) => make("option", { value: v, selected: v === on }, says))))),
      page.start.workshop ? null : make("p.hint", {}, "There is no workshop.toml in this folder: speeds, feeds and prices stay blanks on the sheet."),
      make("p.row", {}, button("Write everything for the machines and the bench", write, { class: "main", disabled: !some }), usePiece ? null : button("Write an offer for a customer", offer, { disabled: !some })),
      some ? null : make("p.hint", {}, "Say how many of each: press + beside a board."));
    fill(out, made ? [
      make("h2", {}, made.offer ? "The offer" : "Written"),
      make("p", {}, make("code", {}, `${page.start.place}/${made.folder}`), made.files.length ? `: ${made.files.length} files` : ""),
      made.notes.length ? make("ul", {}, made.notes.map((n) => make("li", {}, units.said(n)))) : null,
      made.files.length ? make("details", {}, make("summary", {}, "its files"), make("ul", {}, made.files.map((f) => make("li", {}, f)))) : null,
      made.sheets.map((s) => [make("p", {}, make("a", { href: `file/${s.split("/").map(encodeURIComponent).join("/")}`, target: "_blank", rel: "noopener" }, made.offer ? "Open the offer" : `Open the worksheet ${s.split("/").slice(-2, -1)[0]}`)), make("iframe", { src: `file/${s.split("/").map(encodeURIComponent).join("/")}`, title: made.offer ? "the offer" : "the worksheet", sandbox: "" })]),
    ] : null);
  }

  page.changed = async () => { const now = await attempt(() => get("wall", { folder })); if (now) { told = now; redraw(); } };
  fill(page.work, make("h1.quiet", {}, "Hand over"), list, out);
  redraw();
  if (!usePiece && wanted().length && !wanted().some((b) => b.order)) tell("say how many of each");
}

// What the page asks of the server: plain values both ways; what is wrong comes back as lines to be read.
export class Refused extends Error {
  constructor(problems, status) {
    super(problems.map(line).join("\n"));
    this.problems = problems;
    this.status = status;
  }
}

export function line(p) {
  return [p.where && `${p.where}: ${p.what}` || p.what, p.allowed, p.remedy].filter(Boolean).join("; ");
}

async function answer(response) {
  let made = null;
  try { made = await response.json(); } catch { made = null; }
  if (!response.ok || made === null) {
    throw new Refused(made && made.problems || [{ where: "", what: "the page's server does not answer: is shapes open still running?" }], response.status);
  }
  return made;
}

async function reach(address, how) {
  try {
    return await fetch(address, how);
  } catch {
    throw new Refused([{ where: "", what: "the page's server does not answer: is shapes open still running?" }], 0);
  }
}

export async function get(what, about = {}) {
  return answer(await reach(`api/${what}?${new URLSearchParams(about)}`));
}

export async function post(what, body) {
  return answer(await reach(`api/${what}`, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) }));
}

export function picture(kind, about) {
  return `picture/${kind}?${new URLSearchParams(about)}`;
}

export function socket(path) {
  const address = new URL(path, document.baseURI);
  address.protocol = "ws:";
  return new WebSocket(address);
}

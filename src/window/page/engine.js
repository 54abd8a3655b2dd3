// The engine behind the page: whatever is shown or saved is made by it. This one asks the program on
// this machine; another can take its place by offering the same `make`.

const KEY = "quintfall-token";

/** What cannot be made of what was chosen: a list of `{field, line, words}`. */
export class Faults extends Error {
  constructor(faults) {
    super(faults.map((fault) => fault.words).join(" "));
    this.faults = faults;
  }
}

/** The program cannot be reached, or does not know this page. */
export class Gone extends Error {
  constructor(message, words) {
    super(message);
    this.words = words;
  }
}

let token = "";

/** Takes the token from the address, where it stands once, and clears it there. A browser that the
 *  program started has a code there, which is exchanged for the token. */
export async function begin() {
  const given = location.hash.slice(1);
  if (/^(once-)?[0-9a-f]{32}$/.test(given)) {
    history.replaceState(null, "", location.pathname);
    const code = given.replace(/^once-/, "");
    const own = code === given ? given : (await make("begin", { code })).token;
    sessionStorage.setItem(KEY, own);
  }
  token = sessionStorage.getItem(KEY) ?? "";
}

/** Makes something: `what` names it, `recipe` is what was chosen, `kind` is "json" or "blob". */
export async function make(what, recipe = {}, kind = "json") {
  let response;
  try {
    response = await fetch(`/${what}`, {
      method: "POST",
      headers: { "content-type": "application/json", "x-token": token },
      body: JSON.stringify(recipe),
    });
  } catch {
    throw new Gone("the program has ended");
  }
  const isJson = (response.headers.get("content-type") ?? "").startsWith("application/json");
  if (response.ok && kind === "blob" && !isJson) {
    try {
      return await response.blob();
    } catch {
      throw new Faults([{ words: "The file did not arrive whole; try again." }]);
    }
  }
  const answer = await response.json().catch(() => null);
  const refused = answer?.refused ?? (response.ok ? null : [{ words: "Something went wrong; try again." }]);
  if (response.status === 401) throw new Gone(refused[0].words, `Nothing can be made: ${refused[0].words}.`);
  if (refused) throw new Faults(refused);
  return answer;
}

/** Keeps what is chosen for the next time while the page is closed: nobody waits for the answer.
 *  Browsers send what is small even then (`keepalive`). */
export function keep(recipe, keepalive) {
  fetch("/keep", {
    method: "POST",
    keepalive,
    headers: { "content-type": "application/json", "x-token": token },
    body: JSON.stringify(recipe),
  }).catch(() => {});
}

/** Tells the program that this page is open for as long as it is; `ended` is called when the program
 *  is no more. */
export async function stay(ended) {
  try {
    const response = await fetch("/stay", {
      method: "POST",
      headers: { "content-type": "application/json", "x-token": token },
      body: "{}",
    });
    const reader = response.body.getReader();
    while (!(await reader.read()).done);
  } catch {
    // It broke off, which is told below.
  }
  ended();
}

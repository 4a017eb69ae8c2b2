// Where rigs are kept. Two keepers with one set of calls and one set of JSON
// shapes: the program on this computer (Server, below), and the browser's own
// database (store-browser.js). Shapes are those of the server's API; see the
// documentation of its package.

/**
 * StoreError is a failure told to a person. code is as the API gives it; newer is there on a
 * conflict.
 */
export class StoreError extends Error {
  constructor({ code, message, remedy = "" }, newer) {
    super(message);
    this.code = code;
    this.remedy = remedy;
    this.newer = newer;
  }
}

/** unreachable is what is told when the program on the computer does not answer. */
const unreachable = () => new StoreError({
  code: "unreachable",
  message: "evenlock does not answer on the computer.",
  remedy: "Is it still running there? Start it again; this page goes on by itself.",
});

/**
 * openStore finds out which keeper there is. A page that came from evenlock's own
 * server has its API beside it; one that came from a folder has not.
 */
export async function openStore() {
  for (let wait = 250; ; wait = Math.min(2 * wait, 4000)) {
    let answer;
    try {
      answer = await fetch("api/settings", { cache: "no-store" });
    } catch {
      // Without a network and with the offline copy in charge, there is no server.
      if (navigator.serviceWorker?.controller || !navigator.onLine) break;
      await new Promise((done) => setTimeout(done, wait));
      continue;
    }
    const isAPI = answer.headers.get("Content-Type")?.startsWith("application/json");
    if (answer.ok && isAPI) return new Server();
    if (!isAPI || answer.status === 404) break;
    const { error } = await answer.json();
    if (error?.code !== "busy") throw new StoreError(error ?? { code: "internal", message: "The rigs cannot be opened." });
    await new Promise((done) => setTimeout(done, wait));
  }
  const { Browser } = await import("./store-browser.js");
  return Browser.open();
}

/** Server keeps rigs by the API of the local server. */
class Server {
  kind = "server";

  async #ask(method, path, body, type = "application/json") {
    let answer;
    try {
      answer = await fetch("api/" + path, {
        method, cache: "no-store",
        headers: body === undefined ? {} : { "Content-Type": type },
        body: body === undefined || type !== "application/json" ? body : JSON.stringify(body),
      });
    } catch {
      throw unreachable();
    }
    if (answer.status === 204) return null;
    let content;
    try {
      content = await answer.json();
    } catch {
      throw unreachable();
    }
    if (!answer.ok) throw new StoreError(content.error ?? { code: "internal", message: "Something went wrong." }, content.newer);
    return content;
  }

  rigs = async () => (await this.#ask("GET", "rigs")).rigs ?? [];
  rig = (id) => this.#ask("GET", `rigs/${encodeURIComponent(id)}`);
  create = (draft) => this.#ask("POST", "rigs", draft);
  save = (id, parent, draft) => this.#ask("POST", `rigs/${encodeURIComponent(id)}/revisions`, { parent, ...draft });
  remove = (id) => this.#ask("DELETE", `rigs/${encodeURIComponent(id)}`);
  undelete = (id) => this.#ask("POST", `rigs/${encodeURIComponent(id)}/undelete`);
  purge = (id) => this.#ask("POST", `rigs/${encodeURIComponent(id)}/purge`);
  revisions = async (id) => (await this.#ask("GET", `rigs/${encodeURIComponent(id)}/revisions`)).revisions ?? [];
  revision = (id, n) => this.#ask("GET", `rigs/${encodeURIComponent(id)}/revisions/${encodeURIComponent(n)}`);
  bringBack = (id, n, parent) => this.#ask("POST", `rigs/${encodeURIComponent(id)}/revisions/${encodeURIComponent(n)}/bring-back`, { parent, by: "page" });
  journal = (id) => this.#ask("GET", `rigs/${encodeURIComponent(id)}/journal`);
  write = (id, entry) => this.#ask("POST", `rigs/${encodeURIComponent(id)}/journal`, { by: "page", ...entry });
  settings = async () => (await this.#ask("GET", "settings")).settings ?? {};
  set = (key, value) => this.#ask("PUT", `settings/${encodeURIComponent(key)}`, { value });
  restore = (file) => this.#ask("POST", "restore", file, "application/zip");

  /** backup gives the backup as a Blob. */
  async backup() {
    let answer;
    try {
      answer = await fetch("api/backup", { cache: "no-store" });
      if (answer.ok) return await answer.blob();
    } catch {
      throw unreachable();
    }
    throw new StoreError((await answer.json()).error);
  }

  sharing = () => this.#ask("GET", "share");
  share = () => this.#ask("POST", "share");
  stopSharing = () => this.#ask("DELETE", "share");

  /**
   * watch calls changed(change) for every change, and ready() each time that the stream
   * begins anew, when anything may have been missed. While the tab is hidden the stream is
   * closed, since a browser opens only a few connections at once.
   */
  watch(changed, ready) {
    let stream = null;
    const follow = () => {
      if (document.hidden) {
        stream?.close();
        stream = null;
      } else if (!stream) {
        const own = stream = new EventSource("api/events");
        own.addEventListener("change", (e) => changed(JSON.parse(e.data)));
        own.addEventListener("ready", ready);
        own.addEventListener("error", () => {
          // The browser tries again by itself, unless the server refused outright.
          if (own.readyState !== EventSource.CLOSED) return;
          setTimeout(() => { if (stream === own) { stream = null; follow(); } }, 3000);
        });
      }
    };
    document.addEventListener("visibilitychange", follow);
    addEventListener("pagehide", () => { stream?.close(); stream = null; });
    addEventListener("pageshow", follow);
    follow();
  }
}

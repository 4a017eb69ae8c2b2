// Keeps rigs in the browser's own database, where no server is. Same calls and same
// JSON shapes as the server's; the rules are those of the store's documentation.
import { StoreError } from "./store.js";
import { readZip, writeZip } from "./zip.js";
import { slug } from "./dom.js";

const limits = { text: 1 << 20, name: 200, note: 16 << 10, revisions: 60_000, total: 512 << 20 };

const fail = (code, message, remedy = "") => { throw new StoreError({ code, message, remedy }); };
const invalid = (message, remedy) => fail("invalid", message, remedy);

const letters = "abcdefghijklmnopqrstuvwxyz234567";
const newId = () => Array.from(crypto.getRandomValues(new Uint8Array(26)), (b) => letters[b & 31]).join("");
const validId = (id) => typeof id === "string" && /^[a-z2-7]{26}$/.test(id);
const now = () => new Date().toISOString();

const done = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

/** storageError makes a failure of the database one for a person. */
function storageError(error) {
  if (error instanceof StoreError) return error;
  if (error?.name === "QuotaExceededError") {
    return new StoreError({ code: "full", message: "There is no room left in this browser's storage.", remedy: "Make room on this device, then try again." });
  }
  return new StoreError({ code: "unavailable", message: "This browser's storage cannot be written to.", remedy: "Private windows and full disks do that. Export the rig file to keep your work." });
}

export class Browser {
  kind = "browser";
  #db;
  #channel = new BroadcastChannel("evenlock");

  static async open() {
    const store = new Browser();
    const request = indexedDB.open("evenlock", 1);
    request.onupgradeneeded = () => {
      const db = request.result;
      db.createObjectStore("rigs", { keyPath: "id" });
      db.createObjectStore("revisions", { keyPath: ["rig", "number"] });
      db.createObjectStore("journal", { keyPath: "id" }).createIndex("rig", "rig");
      db.createObjectStore("settings");
    };
    try {
      store.#db = await done(request);
    } catch (error) {
      if (error?.name === "VersionError") {
        fail("newer", "A newer evenlock has used this browser's storage.", "Load the page again, so that it is the newer one.");
      }
      throw storageError(error);
    }
    store.#db.onversionchange = () => store.#db.close();
    // Asked once; a browser that says no may clear the storage when space runs short.
    navigator.storage?.persist?.();
    return store;
  }

  /** #do runs f in one transaction, which is kept whole or not at all. */
  async #do(mode, stores, f) {
    try {
      const t = this.#db.transaction(stores, mode, { durability: "strict" });
      const over = new Promise((resolve, reject) => {
        t.oncomplete = resolve;
        t.onabort = () => reject(t.error ?? new DOMException("", "AbortError"));
      });
      over.catch(() => {});
      let result;
      try {
        result = await f(...stores.map((name) => t.objectStore(name)));
      } catch (error) {
        try { t.abort(); } catch { /* it has ended by itself */ }
        throw error;
      }
      await over;
      return result;
    } catch (error) {
      throw storageError(error);
    }
  }

  #tell(change) { this.#channel.postMessage(change); }

  rigs = () => this.#do("readonly", ["rigs"], async (rigs) =>
    (await done(rigs.getAll())).sort((a, b) => b.changed.localeCompare(a.changed)));

  rig = (id) => this.#do("readonly", ["rigs", "revisions"], async (rigs, revisions) => {
    const rig = await theRig(rigs, id);
    return { rig, revision: await done(revisions.get([id, rig.current])) };
  });

  async create(draft) {
    check(draft);
    const saved = now(), id = newId();
    const revision = { id: newId(), rig: id, number: 1, parent: 0, saved, ...draft };
    await this.#do("readwrite", ["rigs", "revisions"], async (rigs, revisions) => {
      rigs.add({ id, name: draft.name, current: 1, created: saved, changed: saved });
      revisions.add(revision);
    });
    this.#tell({ what: "created", rig: id, revision: 1 });
    return revision;
  }

  async save(id, parent, draft) {
    check(draft);
    let fresh = true;
    const revision = await this.#do("readwrite", ["rigs", "revisions"], async (rigs, revisions) => {
      const rig = await theRig(rigs, id);
      if (rig.deleted) fail("deleted", `"${rig.name}" was deleted.`, "Bring it back first.");
      const current = await done(revisions.get([id, rig.current]));
      if (current.name === draft.name && current.text === draft.text && (!draft.note || draft.note === current.note)) {
        fresh = false;
        return current;
      }
      if (rig.current !== parent) {
        throw new StoreError({
          code: "conflict",
          message: `Revision ${current.number} was saved since, by ${current.by || "another tab"}.`,
          remedy: "Look at both, then save yours on top of it, keep yours as a new rig, or take the newer one.",
        }, current);
      }
      const number = await lastNumber(revisions, id) + 1;
      const made = { id: newId(), rig: id, number, parent, saved: now(), ...draft };
      revisions.add(made);
      rigs.put({ ...rig, name: draft.name, current: number, changed: made.saved });
      return made;
    });
    if (fresh) this.#tell({ what: "saved", rig: id, revision: revision.number });
    return revision;
  }

  async #mark(id, what, change) {
    await this.#do("readwrite", ["rigs"], async (rigs) => { rigs.put(change(await theRig(rigs, id))); });
    this.#tell({ what, rig: id });
  }

  remove = (id) => this.#mark(id, "deleted", (rig) => ({ ...rig, deleted: rig.deleted ?? now() }));
  undelete = (id) => this.#mark(id, "undeleted", ({ deleted, ...rig }) => rig);

  async purge(id) {
    await this.#do("readwrite", ["rigs", "revisions", "journal"], async (rigs, revisions, journal) => {
      const rig = await theRig(rigs, id);
      if (!rig.deleted) invalid(`"${rig.name}" is not deleted.`, "Delete it first; then it can be removed for good.");
      rigs.delete(id);
      revisions.delete(allOf(id));
      for (const key of await done(journal.index("rig").getAllKeys(id))) journal.delete(key);
    });
    this.#tell({ what: "purged", rig: id });
  }

  revisions = (id) => this.#do("readonly", ["rigs", "revisions"], async (rigs, revisions) => {
    await theRig(rigs, id);
    return (await done(revisions.getAll(allOf(id)))).map(({ text, ...rest }) => rest).reverse();
  });

  revision = (id, n) => this.#do("readonly", ["rigs", "revisions"], async (rigs, revisions) => {
    await theRig(rigs, id);
    return (await done(revisions.get([id, n]))) ?? fail("not-found", `The rig has no revision ${n}.`);
  });

  async bringBack(id, n, parent) {
    const { name, text } = await this.revision(id, n);
    return this.save(id, parent, { name, text, note: `Back to revision ${n}`, by: "page" });
  }

  journal = (id) => this.#do("readonly", ["rigs", "journal"], async (rigs, journal) => {
    await theRig(rigs, id);
    const entries = (await done(journal.index("rig").getAll(id))).sort((a, b) => a.written.localeCompare(b.written) || a.order - b.order)
      .map(({ order, ...entry }) => entry);
    const ticks = {}, struck = new Set();
    for (const e of entries) {
      if (e.kind === "done") ticks[e.step] = e;
      if (e.kind === "undone") delete ticks[e.step];
      if (e.kind === "strike") struck.add(e.target);
    }
    return { entries, ticks, notes: entries.filter((e) => e.kind === "note" && !struck.has(e.id)) };
  });

  async write(id, draft) {
    if ((draft.text ?? "").length > limits.note) fail("too-large", "The note is too long.", "Shorten it.");
    const entry = { id: newId(), rig: id, written: now(), by: "page", ...draft };
    await this.#do("readwrite", ["rigs", "journal"], async (rigs, journal) => {
      await theRig(rigs, id);
      journal.add({ ...entry, order: await done(journal.count()) });
    });
    this.#tell({ what: "noted", rig: id });
    return entry;
  }

  settings = () => this.#do("readonly", ["settings"], async (settings) => {
    const [keys, values] = await Promise.all([done(settings.getAllKeys()), done(settings.getAll())]);
    return Object.fromEntries(keys.map((key, i) => [key, values[i]]));
  });

  set = (key, value) => this.#do("readwrite", ["settings"], async (settings) => {
    if (value) settings.put(value, key);
    else settings.delete(key);
  });

  /** backup writes the same file as the server does; see package backup. */
  async backup() {
    if (!crypto.subtle) {
      fail("unavailable", "This page came over an unencrypted connection, where the browser does not make check sums.", "Export the rigs one by one.");
    }
    const taken = now();
    const all = await this.#snapshot();
    const files = [{ name: "README.txt", time: new Date(taken), bytes: new TextEncoder().encode(readme) }];
    const manifest = { format: "evenlock backup", version: 1, taken, rigs: [], settings: all.settings };
    for (const { rig, revisions, journal } of all.rigs) {
      const listed = [];
      for (const { text, ...revision } of revisions) {
        const bytes = new TextEncoder().encode(text);
        const file = `rigs/${slug(rig.name)}-${rig.id}/${String(revision.number).padStart(4, "0")}.toml`;
        files.push({ name: file, time: new Date(revision.saved), bytes });
        listed.push({ ...revision, file, size: bytes.length, sha256: await sha256(bytes) });
      }
      manifest.rigs.push({ ...rig, revisions: listed, journal });
    }
    files.push({ name: "manifest.json", time: new Date(taken), bytes: new TextEncoder().encode(JSON.stringify(manifest, null, "\t")) });
    return writeZip(files);
  }

  #snapshot = () => this.#do("readonly", ["rigs", "revisions", "journal", "settings"], async (rigs, revisions, journal, settings) => {
    const [allRigs, keys, values] = await Promise.all([done(rigs.getAll()), done(settings.getAllKeys()), done(settings.getAll())]);
    const all = { rigs: [], settings: Object.fromEntries(keys.map((key, i) => [key, values[i]])) };
    for (const rig of allRigs) {
      all.rigs.push({
        rig, revisions: await done(revisions.getAll(allOf(rig.id))),
        journal: (await done(journal.index("rig").getAll(rig.id))).sort((a, b) => a.written.localeCompare(b.written) || a.order - b.order)
          .map(({ order, ...entry }) => entry),
      });
    }
    return all;
  });

  /** restore adds what a backup has and this browser lacks; it overwrites nothing. */
  async restore(file) {
    let manifest;
    try {
      manifest = await readBackup(file);
    } catch (error) {
      if (error instanceof StoreError) throw error;
      invalid(`This is not a whole backup of evenlock's: ${error.message}.`,
        "Nothing was restored. Choose the file as evenlock wrote it. Its rig files can also be taken out of it and imported one by one.");
    }
    const report = { rigs: [], settings: 0 };
    await this.#do("readwrite", ["rigs", "revisions", "journal", "settings"], async (rigs, revisions, journal, settings) => {
      let order = await done(journal.count());
      for (const { revisions: inRevisions, journal: inJournal, ...inRig } of manifest.rigs) {
        const here = await done(rigs.get(inRig.id));
        const plan = planMerge(here && {
          rig: here, revisions: await done(revisions.getAll(allOf(inRig.id))), journal: await done(journal.index("rig").getAll(inRig.id)),
        }, { rig: inRig, revisions: inRevisions, journal: inJournal });
        rigs.put(plan.rig);
        for (const r of plan.revisions) revisions.add(r);
        for (const e of plan.journal) journal.add({ ...e, order: order++ });
        if (!here || plan.revisions.length || plan.journal.length) {
          report.rigs.push({
            id: plan.rig.id, name: plan.rig.name, new: !here, revisions: plan.revisions.length,
            entries: plan.journal.length, beside: plan.beside,
          });
        }
      }
      for (const [key, value] of Object.entries(manifest.settings)) {
        if (await done(settings.getKey(key)) === undefined) {
          settings.put(value, key);
          report.settings++;
        }
      }
    });
    this.#tell({ what: "merged" });
    return report;
  }

  watch(changed, ready) {
    this.#channel.addEventListener("message", (e) => changed(e.data));
    // A tab that slept may have missed messages.
    document.addEventListener("visibilitychange", () => { if (!document.hidden) ready(); });
    ready();
  }
}

const allOf = (id) => IDBKeyRange.bound([id, 0], [id, Infinity]);

async function lastNumber(revisions, id) {
  const cursor = await done(revisions.openKeyCursor(allOf(id), "prev"));
  return cursor ? cursor.key[1] : 0;
}

async function theRig(rigs, id) {
  return (await done(rigs.get(id))) ??
    fail("not-found", "This rig is not kept here.", "It may have been removed for good; a backup may still have it.");
}

function check({ name, text, note = "" }) {
  const size = new TextEncoder().encode(text).length;
  if (!name?.trim()) invalid("A rig needs a name.", "Give it one.");
  if (name.length > limits.name) fail("too-large", "The name is too long.", "Shorten it.");
  if (size > limits.text) fail("too-large", "The rig file is too large.", "A rig file is rarely more than a few pages.");
  if (note.length > limits.note) fail("too-large", "The note is too long.", "Shorten it.");
}

async function sha256(bytes) {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(sum, (b) => b.toString(16).padStart(2, "0")).join("");
}

// readBackup gives the manifest with the texts put in, all of it checked.
async function readBackup(file) {
  if (!crypto.subtle) throw new Error("over an unencrypted connection the browser cannot check it");
  const files = await readZip(file);
  const manifestFile = files.get("manifest.json");
  if (!manifestFile) throw new Error("it has no manifest.json");
  const utf8 = new TextDecoder("utf-8", { fatal: true });
  let m;
  try {
    m = JSON.parse(utf8.decode(await manifestFile(128 << 20)));
  } catch {
    throw new Error("its manifest cannot be read");
  }
  if (m?.format !== "evenlock backup" || !(m.version >= 1)) throw new Error("its manifest is not one of evenlock's");
  if (m.version > 1) fail("newer", "The backup was written by a newer evenlock.", "Restore it with that newer evenlock.");
  files.delete("manifest.json");
  files.delete("README.txt");
  m.settings ??= {};
  const unsound = (why) => { throw new Error(`its manifest is not sound: ${why}`); };
  const isTime = (t) => typeof t === "string" && !Number.isNaN(Date.parse(t));
  const seen = new Set();
  const fresh = (id) => validId(id) && !seen.has(id) && seen.add(id);
  if (!Array.isArray(m.rigs)) unsound("it lists no rigs");
  let total = 0;
  for (const rig of m.rigs) {
    rig.journal ??= [];
    const numbers = new Set();
    if (!fresh(rig.id) || typeof rig.name !== "string" || !isTime(rig.created) || !isTime(rig.changed)) unsound("a rig is malformed");
    let last = 0;
    for (const r of rig.revisions ?? unsound("a rig has no revisions")) {
      if (!fresh(r.id) || r.rig !== rig.id || !(r.number > last) || !isTime(r.saved) || r.text ||
        !(last === 0 ? r.parent === 0 : numbers.has(r.parent))) unsound("a revision is malformed");
      const content = files.get(r.file) ?? unsound("a file is missing");
      files.delete(r.file);
      const bytes = await content(limits.text);
      total += bytes.length;
      if (total > limits.total) unsound("it unpacks to more than a backup may");
      if (bytes.length !== r.size || await sha256(bytes) !== r.sha256) {
        throw new Error(`the file ${JSON.stringify(r.file.slice(0, 60))} is not what it was when the backup was made`);
      }
      r.text = utf8.decode(bytes);
      delete r.file;
      delete r.size;
      delete r.sha256;
      check(r);
      numbers.add(last = r.number);
    }
    const current = rig.revisions.find((r) => r.number === rig.current);
    if (!current || current.name !== rig.name) unsound("a rig's current revision is not there");
    for (const e of rig.journal) {
      if (!fresh(e.id) || e.rig !== rig.id || !numbers.has(e.revision) || !isTime(e.written) ||
        !["note", "done", "undone", "strike"].includes(e.kind) || typeof (e.text ?? "") !== "string") unsound("a journal entry is malformed");
    }
  }
  for (const name of files.keys()) throw new Error(`its manifest does not list the file ${JSON.stringify(name.slice(0, 60))}`);
  if (Object.values(m.settings).some((v) => typeof v !== "string")) unsound("a setting is malformed");
  return m;
}

// planMerge follows the rules of the store's PlanMerge.
function planMerge(here, incoming) {
  if (!here) return { ...incoming, beside: false };
  const differs = (what) => invalid(`The backup and this device disagree about ${what} of "${incoming.rig.name}".`,
    "One of them was changed by hand. Nothing was restored.");
  const kept = new Map(here.revisions.map((r) => [r.id, r]));
  const parent = new Map(here.revisions.map((r) => [r.number, r.parent]));
  let last = Math.max(...here.revisions.map((r) => r.number));
  const lastKept = last;
  const number = new Map([[0, 0]]);
  const plan = { rig: { ...here.rig }, revisions: [], journal: [], beside: false };
  for (const r of incoming.revisions) {
    const k = kept.get(r.id);
    if (k) {
      if (k.text !== r.text || k.name !== r.name || (k.note ?? "") !== (r.note ?? "")) differs(`revision ${r.number}`);
      number.set(r.number, k.number);
      continue;
    }
    last++;
    const made = { ...r, number: last, parent: number.get(r.parent) };
    number.set(r.number, last);
    parent.set(last, made.parent);
    plan.revisions.push(made);
  }
  const theirs = number.get(incoming.rig.current);
  for (let n = theirs; n; n = parent.get(n)) if (n === here.rig.current) plan.rig.current = theirs;
  plan.beside = plan.rig.current !== theirs && theirs > lastKept;
  const current = plan.revisions.find((r) => r.number === plan.rig.current);
  if (current) Object.assign(plan.rig, { name: current.name, changed: current.saved });
  const entries = new Map(here.journal.map((e) => [e.id, e]));
  for (const e of incoming.journal) {
    const k = entries.get(e.id);
    if (!k) plan.journal.push({ ...e, revision: number.get(e.revision) });
    else if (k.kind !== e.kind || (k.text ?? "") !== (e.text ?? "")) differs("a journal entry");
  }
  return plan;
}

const readme = `This is a backup of the rigs kept by evenlock.

Each folder below rigs/ is one rig. The files in it are its revisions in the order
in which they were saved, each a complete rig file; the highest number is usually the
current one. manifest.json says which one is, and holds the notes and the journal.

To restore everything, open evenlock's page and choose to restore a backup. Nothing kept
there is overwritten. To use a single rig, import its file.
`;
